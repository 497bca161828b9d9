#include "native_layer.h"

#include <cstdio>

#include "hal.h"

NativeWorld world;

bool NativePin::isHigh() {
  if (mode == Mode::kLevel) return value != 0;
  if (wire != Wire::kOpen) {
    floating = wire == Wire::kHigh;
  } else if (mode == Mode::kPullUp) {
    floating = true;
  }
  return floating;
}

std::string describe(const NativePin& pin) {
  switch (pin.mode) {
    case NativePin::Mode::kFree:
      return "free";
    case NativePin::Mode::kPullUp:
      return "pullup";
    case NativePin::Mode::kLevel:
      return "level " + std::to_string(pin.value);
    case NativePin::Mode::kDimmed:
      return "dimmed " + std::to_string(pin.value);
    case NativePin::Mode::kTone:
      return "tone " + std::to_string(pin.value);
    default:
      return "servo " + std::to_string(pin.value);
  }
}

namespace {

void reportChain(const chain_t& chain) {
  std::string text = std::to_string(world.now_us) + " " + std::to_string(chain.data) + " chips ";
  for (int chip = 0; chip < chain.chips; ++chip) {
    char hex[3];
    std::snprintf(hex, sizeof hex, "%02x", chain.outside[chip]);
    text += hex;
  }
  world.changes.push_back(text);
}

void change(uint8_t number, NativePin::Mode mode, uint16_t value) {
  NativePin& pin = world.pins[number];
  if (pin.mode == mode && pin.value == value) return;
  pin.mode = mode;
  pin.value = value;
  bool of_chain = false;
  for (chain_t& chain : world.chains) {
    if (mode != NativePin::Mode::kLevel) continue;  // a released pin keeps its level
    if (!chain_hears(&chain, number)) continue;
    of_chain = true;
    if (chain_pin(&chain, number, value) != 0) reportChain(chain);
    if (!chain.is_out) {
      world.pins[chain.data].wire = chain_output(&chain) ? Wire::kHigh : Wire::kLow;
    }
  }
  if (of_chain) return;  // there are thousands
  world.changes.push_back(std::to_string(world.now_us) + " " + std::to_string(number) + " " +
                          describe(pin));
}

}  // namespace

uint32_t Hal::micros() { return world.now_us; }
void Hal::letGo(uint8_t pin) { change(pin, NativePin::Mode::kFree, 0); }
void Hal::pullUp(uint8_t pin) { change(pin, NativePin::Mode::kPullUp, 0); }
bool Hal::read(uint8_t pin) { return world.pins[pin].isHigh(); }
void Hal::write(uint8_t pin, bool high) { change(pin, NativePin::Mode::kLevel, high); }
void Hal::dim(uint8_t pin, uint8_t share, bool) {
  change(pin, NativePin::Mode::kDimmed, share);
}
uint16_t Hal::analogue(uint8_t pin) { return world.pins[pin].counts; }
void Hal::tone(uint8_t pin, uint16_t hz) { change(pin, NativePin::Mode::kTone, hz); }
void Hal::servo(uint8_t pin, uint16_t pulse_us) {
  change(pin, NativePin::Mode::kServo, pulse_us);
}

void Hal::chainRead(uint8_t data, uint8_t clock, uint8_t* chips, uint8_t number) {
  for (uint8_t chip = 0; chip < number; ++chip) {
    uint8_t bits = 0;
    for (int left = 8; left != 0; --left) {
      bits = static_cast<uint8_t>(bits << 1 | read(data));
      write(clock, true);
      write(clock, false);
    }
    chips[chip] = bits;
  }
}

void Hal::chainWrite(uint8_t data, uint8_t clock, const uint8_t* chips, uint8_t number) {
  while (number-- != 0) {
    for (int bit = 0x80; bit != 0; bit >>= 1) {
      write(data, (chips[number] & bit) != 0);
      write(clock, true);
      write(clock, false);
    }
  }
}

int16_t Hal::serialRead() {
  if (world.to_board.empty()) return -1;
  const uint8_t byte = world.to_board.front();
  world.to_board.pop_front();
  return byte;
}

uint8_t Hal::serialRoom() { return static_cast<uint8_t>(world.room); }
void Hal::serialWrite(uint8_t byte) { world.from_board.push_back(byte); }
void Hal::serialPush() {}
uint16_t Hal::nextBootId() { return ++world.boot_id; }
