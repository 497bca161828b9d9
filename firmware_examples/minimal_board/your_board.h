// Everything that differs from board to board: this file is what you change to port the sketch.
// As it stands it is an Uno. For simulation only.
#ifndef YOUR_BOARD_H
#define YOUR_BOARD_H

#include <Arduino.h>

// 1. The number of your kind of board in HELLO, 100 to 255; the panel file has the same ('code').
constexpr uint8_t kBoardCode = 100;

// 2. The speed of the serial line, bit/s; the panel file has the same ('baud').
constexpr unsigned long kBaud = 250000;

// 3. How many items the memory holds; 'max_items' of the panel file is this or less. An item takes
//    some 30 bytes.
constexpr uint8_t kMaxItems = 32;

// 4. The pins. The number of a pin on the wire is the one that pinMode() takes, at most 127; the
//    panel file gives it a name. Leave out what carries the serial line, or must stay free.
constexpr uint8_t kHighestPin = 19;
constexpr uint16_t kFullScale = 1023;  // analogRead() at the full voltage; 'counts_full_scale'

inline bool pinExists(uint8_t pin) { return pin >= 2 && pin <= kHighestPin; }  // 0, 1: serial line
inline bool pinIsDigital(uint8_t pin) { return pinExists(pin); }
inline bool pinIsAnalogue(uint8_t pin) { return pin >= 14 && pin <= 19; }
// The pins that analogWrite() dims. (3 and 11 of an Uno are left out: tone() takes their timer.)
inline bool pinCanDim(uint8_t pin) { return pin == 5 || pin == 6 || pin == 9 || pin == 10; }

// 5. The watchdog resets the board when its loop hangs: the lamps would else stay as they are.
#if defined(__AVR__)
#include <avr/wdt.h>
// After a reset by the watchdog it still runs, with its shortest period: stop it first of all.
void stopWatchdog() __attribute__((naked, used, section(".init3")));
void stopWatchdog() {
  MCUSR = 0;
  wdt_disable();
}
inline void startWatchdog() { wdt_enable(WDTO_500MS); }
inline void feedWatchdog() { wdt_reset(); }
#else
inline void startWatchdog() {}  // your chip's own
inline void feedWatchdog() {}
#endif

// 6. After each reset another number than before it: a counter in memory that no reset clears, or a
//    random number. No flash and no EEPROM: a board that resets again and again would wear it out.
uint16_t bootCount __attribute__((section(".noinit")));
inline uint16_t nextBootId() { return ++bootCount; }

#endif
