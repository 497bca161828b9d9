#if defined(__AVR__)

#include "avr_layer.h"

#include <Arduino.h>
#include <avr/eeprom.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "avr_pulses.h"
#include "hal.h"

// After a watchdog reset the watchdog keeps running with its shortest period: stop it before
// anything else.
void stopWatchdog() __attribute__((naked, used, section(".init3")));
void stopWatchdog() {
  MCUSR = 0;
  wdt_disable();
}

namespace {

bool isDriven(uint8_t pin) {
  return (*portModeRegister(digitalPinToPort(pin)) & digitalPinToBitMask(pin)) != 0;
}

// Not cleared at the start.
struct Kept {
  uint16_t id;
  uint16_t check;
};
Kept kept __attribute__((section(".noinit")));
constexpr uint16_t kKeptMark = 0x5A5A;

// The counter goes round in 64 cells of EEPROM, each of which lasts for 100000 writes: cell n has the
// last count that is n modulo 64. A cell that was being written when the power failed is ignored.
uint8_t countPowerUp() {
  constexpr uint8_t kCells = 64;
  uint8_t* const first = reinterpret_cast<uint8_t*>(0);
  uint8_t count = eeprom_read_byte(first);
  if (count % kCells != 0) count = 0xFF;  // new or damaged: begin with 0
  for (uint8_t cell = 1; cell < kCells && count != 0xFF; ++cell) {
    if (eeprom_read_byte(first + cell) != static_cast<uint8_t>(count + 1)) break;
    ++count;
  }
  ++count;
  eeprom_update_byte(first + count % kCells, count);
  return count;
}

}  // namespace

namespace layer {

void start(unsigned long baud) {
  pulses::start();
  Serial.begin(baud);
  set_sleep_mode(SLEEP_MODE_IDLE);
  wdt_enable(WDTO_500MS);
}

void rest(bool may_sleep) {
#if defined(USBCON)
  // The IDE requests the boot loader by opening and closing the port at 1200 bit/s. The Arduino
  // core then lets the watchdog reset the board, so do not feed it.
  if (Serial.baud() == 1200 && !Serial.dtr()) return;
#endif
  wdt_reset();
  if (!may_sleep) return;
  cli();
  if (!pulses::takeTick()) {
    sleep_enable();
    sei();  // takes effect after the next instruction, so no interrupt comes before the sleep
    sleep_cpu();
    sleep_disable();
  }
  sei();
}

}  // namespace layer

uint32_t Hal::micros() { return ::micros(); }

void Hal::letGo(uint8_t pin) {
  pulses::letGo(pin);
  pinMode(pin, INPUT);
  digitalWrite(pin, LOW);  // ends dimming
}

void Hal::pullUp(uint8_t pin) { pinMode(pin, INPUT_PULLUP); }

bool Hal::read(uint8_t pin) {
  return (*portInputRegister(digitalPinToPort(pin)) & digitalPinToBitMask(pin)) != 0;
}

void Hal::write(uint8_t pin, bool high) {
  digitalWrite(pin, high ? HIGH : LOW);
  if (!isDriven(pin)) pinMode(pin, OUTPUT);
}

void Hal::dim(uint8_t pin, uint8_t share, bool rest) {
  if (!isDriven(pin)) write(pin, rest);
  if (pulses::dims(pin)) {
    pulses::dim(pin, share);
  } else {
    analogWrite(pin, share);
  }
}

uint16_t Hal::analogue(uint8_t pin) { return static_cast<uint16_t>(analogRead(pin)); }

void Hal::tone(uint8_t pin, uint16_t hz) {
  if (!isDriven(pin)) write(pin, false);
  pulses::tone(pin, hz);
}

void Hal::servo(uint8_t pin, uint16_t pulse_us) {
  if (!isDriven(pin)) write(pin, false);
  pulses::servo(pin, pulse_us);
}

// A one written to a bit of PINx turns the output, in one instruction: no interrupt can come between
// reading and writing the port. The clock is high for 125 ns, six times the chips' minimum.
void Hal::chainRead(uint8_t data, uint8_t clock, uint8_t* chips, uint8_t number) {
  volatile uint8_t* const from = portInputRegister(digitalPinToPort(data));
  const uint8_t from_mask = digitalPinToBitMask(data);
  volatile uint8_t* const turn = portInputRegister(digitalPinToPort(clock));
  const uint8_t mask = digitalPinToBitMask(clock);
  for (; number != 0; --number) {
    uint8_t bits = 0;
    const auto shift = [&](uint8_t bit) __attribute__((always_inline)) {
      if ((*from & from_mask) != 0) bits |= bit;
      *turn = mask;
      *turn = mask;
    };
    shift(0x80);  // written out: a loop takes twice as long
    shift(0x40);
    shift(0x20);
    shift(0x10);
    shift(0x08);
    shift(0x04);
    shift(0x02);
    shift(0x01);
    *chips++ = bits;
  }
}

void Hal::chainWrite(uint8_t data, uint8_t clock, const uint8_t* chips, uint8_t number) {
  volatile uint8_t* const turn_data = portInputRegister(digitalPinToPort(data));
  const uint8_t data_mask = digitalPinToBitMask(data);
  volatile uint8_t* const turn = portInputRegister(digitalPinToPort(clock));
  const uint8_t mask = digitalPinToBitMask(clock);
  bool is_high = (*portOutputRegister(digitalPinToPort(data)) & data_mask) != 0;
  while (number-- != 0) {
    const uint8_t bits = chips[number];
    for (uint8_t bit = 0x80; bit != 0; bit = static_cast<uint8_t>(bit >> 1)) {
      if (((bits & bit) != 0) != is_high) {
        *turn_data = data_mask;
        is_high = !is_high;
      }
      *turn = mask;
      *turn = mask;
    }
  }
}

int16_t Hal::serialRead() { return static_cast<int16_t>(Serial.read()); }

uint8_t Hal::serialRoom() { return static_cast<uint8_t>(Serial.availableForWrite()); }

void Hal::serialWrite(uint8_t byte) { Serial.write(byte); }

void Hal::serialPush() {
#if defined(USBCON)
  Serial.flush();  // sends the USB packet; on a UART it would wait for the last bit
#endif
}

// High byte: losses of power, counted in EEPROM. Low byte: resets since then, counted in RAM, which
// keeps its contents as long as the power lasts. So a reset loop writes nothing.
uint16_t Hal::nextBootId() {
  if (kept.check == static_cast<uint16_t>(~kept.id ^ kKeptMark)) {
    kept.id = static_cast<uint16_t>((kept.id & 0xFF00) | ((kept.id + 1) & 0xFF));
  } else {
    kept.id = static_cast<uint16_t>(countPowerUp() << 8);
  }
  kept.check = static_cast<uint16_t>(~kept.id ^ kKeptMark);
  return kept.id;
}

#endif
