#include "Arduino.h"

#include "hal.h"
#include "native_layer.h"

namespace {
bool latch[kPins];
bool isDriven(uint8_t pin) {
  return world.pins[pin].mode != NativePin::Mode::kFree &&
         world.pins[pin].mode != NativePin::Mode::kPullUp;
}
}  // namespace

void pinMode(uint8_t pin, uint8_t mode) {
  if (mode == OUTPUT) {
    if (!isDriven(pin)) Hal::write(pin, latch[pin]);
  } else if (mode == INPUT_PULLUP) {
    Hal::pullUp(pin);
  } else {
    Hal::letGo(pin);
  }
}

void digitalWrite(uint8_t pin, uint8_t level) {
  latch[pin] = level != LOW;
  if (isDriven(pin)) Hal::write(pin, latch[pin]);
}

int digitalRead(uint8_t pin) { return Hal::read(pin) ? HIGH : LOW; }
int analogRead(uint8_t pin) { return Hal::analogue(pin); }
void analogWrite(uint8_t pin, int share) { Hal::dim(pin, static_cast<uint8_t>(share), false); }
void tone(uint8_t pin, unsigned int hz) { Hal::tone(pin, static_cast<uint16_t>(hz)); }
void noTone(uint8_t pin) { Hal::tone(pin, 0); }
uint32_t millis() { return world.now_us / 1000; }
uint32_t micros() { return world.now_us; }

SerialLine Serial;
void SerialLine::begin(unsigned long) {}
int SerialLine::available() { return static_cast<int>(world.to_board.size()); }
int SerialLine::read() { return Hal::serialRead(); }
size_t SerialLine::write(const uint8_t* bytes, size_t number) {
  world.from_board.insert(world.from_board.end(), bytes, bytes + number);
  return number;
}
