// What the pins of each kind of board can do. Chosen by the macro that the board's environment
// defines (ARDUINO_AVR_UNO and the like).
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
constexpr uint8_t kDigitalAnalogues = 6;  // A6 and A7 of a Nano have no digital part
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
constexpr uint8_t kFirstAnalogue = 18;  // 14 to 17 are not on the pins' rows
constexpr uint8_t kAnalogues = 6;
constexpr uint8_t kDigitalAnalogues = 6;
constexpr uint8_t kFirstFree = 0;  // it has USB of its own
constexpr uint8_t kMaxItems = 32;
inline bool hasPwm(uint8_t pin) {
  return pin == 3 || pin == 5 || pin == 6 || (pin >= 9 && pin <= 11) || pin == 13;
}

#else
#error "No pins are known for this board: add it to src/board_kind.h, and write a layer (src/hal.h)"
#endif

constexpr uint8_t kAllPins = kFirstAnalogue + kAnalogues;  // no pin has a higher number
constexpr uint16_t kCounts = 1023;
// What the layer's pulse timer can serve at once.
constexpr uint8_t kMaxTones = 2;
constexpr uint8_t kMaxServos = 8;  // 2.5 ms apart: eight make the 20 ms

inline bool isAnalogue(uint8_t pin) {
  return pin >= kFirstAnalogue && pin < kFirstAnalogue + kAnalogues;
}
inline bool isDigital(uint8_t pin) {
  return pin < kDigital || (pin >= kFirstAnalogue && pin < kFirstAnalogue + kDigitalAnalogues);
}
// On the board and the builder's to use.
inline bool exists(uint8_t pin) {
  return pin + 1 > kFirstFree && (isDigital(pin) || isAnalogue(pin));
}

}  // namespace board_kind

#endif
