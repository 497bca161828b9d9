#include "chains.h"

#include "hal.h"

namespace {

uint8_t byteOf(uint8_t pin) { return static_cast<uint8_t>((pin - kFirstChainPin) / 8); }

// 1 << (pin % 8), without the loop that an 8-bit CPU needs for a variable shift.
uint8_t maskOf(uint8_t pin) {
  uint8_t mask = (pin & 1) != 0 ? 2 : 1;
  if ((pin & 2) != 0) mask = static_cast<uint8_t>(mask << 2);
  if ((pin & 4) != 0) mask = static_cast<uint8_t>(mask << 4);
  return mask;
}

uint8_t clockOf(const Slot& chain) { return static_cast<uint8_t>(chain.p1); }
uint8_t latchOf(const Slot& chain) { return static_cast<uint8_t>(chain.p2); }

}  // namespace

void Chains::start(SetupBook& book) {
  inputs_ = outputs_ = false;
  for (uint8_t& chip : chips_) chip = 0;
  for (const Slot* slot = book.first(); slot != book.last(); ++slot) {
    if (slot->kind == kChainIn) {
      inputs_ = true;
      Hal::write(clockOf(*slot), false);
      Hal::write(latchOf(*slot), true);
    } else if (slot->kind == kChainOut) {
      outputs_ = true;
      Hal::write(clockOf(*slot), false);
      Hal::write(latchOf(*slot), false);
      Hal::write(slot->pin, false);
    }
  }
}

void Chains::read(SetupBook& book) {
  for (const Slot* slot = book.first(); slot != book.last(); ++slot) {
    if (slot->kind != kChainIn) continue;
    Hal::write(latchOf(*slot), false);  // the chips load
    Hal::write(latchOf(*slot), true);
    for (uint8_t chip = 0; chip < slot->p3; ++chip) {
      chips_[slot->x + chip] = Hal::chainRead(slot->pin, clockOf(*slot));
    }
  }
}

void Chains::write(SetupBook& book) const {
  if (!outputs_) return;
  for (const Slot* slot = book.first(); slot != book.last(); ++slot) {
    if (slot->kind != kChainOut) continue;
    for (uint8_t chip = static_cast<uint8_t>(slot->p3); chip-- != 0;) {
      Hal::chainWrite(slot->pin, clockOf(*slot), chips_[slot->x + chip]);
    }
    Hal::write(latchOf(*slot), true);
    Hal::write(latchOf(*slot), false);
  }
}

void Chains::goDark(SetupBook& book) {
  for (Slot* slot = book.first(); slot != book.last(); ++slot) {
    if (slot->kind == kLamp && slot->onChain()) set(slot->pin, slot->has(kActiveLow));
  }
  write(book);
}

bool Chains::isHigh(uint8_t pin) const { return (chips_[byteOf(pin)] & maskOf(pin)) != 0; }

void Chains::set(uint8_t pin, bool high) {
  uint8_t& chip = chips_[byteOf(pin)];
  chip = static_cast<uint8_t>(high ? chip | maskOf(pin) : chip & ~maskOf(pin));
}
