// The pins of each kind of board and what they can do, selected by the macro that the Arduino IDE
// defines for the board (ARDUINO_AVR_UNO and so on).
#ifndef PANELBRIDGE_BOARD_KIND_H
#define PANELBRIDGE_BOARD_KIND_H

#include <stdint.h>

#include "protocol.h"

namespace board_kind {

#if defined(ARDUINO_AVR_UNO) || defined(ARDUINO_AVR_NANO)
#ifdef ARDUINO_AVR_NANO
constexpr uint8_t kCode = kNano;
constexpr uint8_t kAnalogues = 8;
#else
constexpr uint8_t kCode = kUno;
constexpr uint8_t kAnalogues = 6;
#endif
constexpr uint8_t kDigital = 14;
constexpr uint8_t kFirstAnalogue = 14;
constexpr uint8_t kDigitalAnalogues = 6;  // A6 and A7 of a Nano are analogue only
constexpr uint8_t kFirstFree = 2;  // 0 and 1 carry the serial line
constexpr uint8_t kMaxItems = 32;
inline bool hasPwm(uint8_t pin) {
  return pin == 3 || pin == 5 || pin == 6 || (pin >= 9 && pin <= 11);
}

#elif defined(ARDUINO_AVR_MEGA2560)
constexpr uint8_t kCode = kMega2560;
constexpr uint8_t kDigital = 54;
constexpr uint8_t kFirstAnalogue = 54;
constexpr uint8_t kAnalogues = 16;
constexpr uint8_t kDigitalAnalogues = 16;
constexpr uint8_t kFirstFree = 2;  // 0 and 1 carry the serial line
constexpr uint8_t kMaxItems = 112;
inline bool hasPwm(uint8_t pin) { return (pin >= 2 && pin <= 13) || (pin >= 44 && pin <= 46); }

#elif defined(ARDUINO_AVR_LEONARDO) || defined(ARDUINO_AVR_MICRO)
#ifdef ARDUINO_AVR_MICRO
constexpr uint8_t kCode = kMicro;
#else
constexpr uint8_t kCode = kLeonardo;
#endif
constexpr uint8_t kDigital = 14;
constexpr uint8_t kFirstAnalogue = 18;  // 14 to 17 are not brought out to the headers
constexpr uint8_t kAnalogues = 6;
constexpr uint8_t kDigitalAnalogues = 6;
constexpr uint8_t kFirstFree = 0;  // native USB: no UART pins are taken
constexpr uint8_t kMaxItems = 32;
inline bool hasPwm(uint8_t pin) {
  return pin == 3 || pin == 5 || pin == 6 || (pin >= 9 && pin <= 11) || pin == 13;
}

#else
#error "This board is not supported: add its pins to src/board_kind.h and write a layer (src/hal.h)"
#endif

constexpr uint8_t kAllPins = kFirstAnalogue + kAnalogues;  // one more than the highest number
constexpr uint16_t kCounts = 1023;  // full scale of an analogue input
// Limits of the AVR layer's pulse timer.
constexpr uint8_t kMaxTones = 2;
constexpr uint8_t kMaxServos = 8;  // one every 2.5 ms: eight make the 20 ms period

inline bool isAnalogue(uint8_t pin) {
  return pin >= kFirstAnalogue && pin < kFirstAnalogue + kAnalogues;
}
inline bool isDigital(uint8_t pin) {
  return pin < kDigital || (pin >= kFirstAnalogue && pin < kFirstAnalogue + kDigitalAnalogues);
}
// Whether the board has the pin and the builder may use it.
inline bool exists(uint8_t pin) {
  return pin + 1 > kFirstFree && (isDigital(pin) || isAnalogue(pin));
}

}  // namespace board_kind

#endif
