#include "chains.h"

#include "hal.h"

namespace {


uint8_t clockOf(const Slot& chain) { return static_cast<uint8_t>(chain.p1); }
uint8_t latchOf(const Slot& chain) { return static_cast<uint8_t>(chain.p2); }

}  // namespace

void Chains::start(SetupBook& book) {
  count_ = 0;
  inputs_ = false;
  for (uint8_t& chip : chips_) chip = 0;
  for (uint8_t& chips : busy_next_) chips = 0xFF;
  for (const Slot* slot = book.first(); slot != book.last(); ++slot) {
    if (!slot->isChain()) continue;
    chains_[count_++] = slot;
    const bool is_input = slot->kind == kChainIn;
    if (is_input) inputs_ = true;
    Hal::write(clockOf(*slot), false);
    Hal::write(latchOf(*slot), is_input);
    if (!is_input) Hal::write(slot->pin, false);
  }
}

void Chains::read() {
  for (uint8_t at = 0; at < count_; ++at) {
    const Slot& chain = *chains_[at];
    if (chain.kind != kChainIn) continue;
    Hal::write(latchOf(chain), false);  // the chips load
    Hal::write(latchOf(chain), true);
    const uint8_t number = static_cast<uint8_t>(chain.p3);
    uint8_t bits[kMaxChips];
    Hal::chainRead(chain.pin, clockOf(chain), bits, number);
    for (uint8_t chip = 0; chip < number; ++chip) {
      const uint8_t place = static_cast<uint8_t>(chain.x + chip);
      if (bits[chip] != chips_[place]) setBusy(place);
      chips_[place] = bits[chip];
    }
  }
}

void Chains::write() const {
  for (uint8_t at = 0; at < count_; ++at) {
    const Slot& chain = *chains_[at];
    if (chain.kind != kChainOut) continue;
    Hal::chainWrite(chain.pin, clockOf(chain), chips_ + chain.x, static_cast<uint8_t>(chain.p3));
    Hal::write(latchOf(chain), true);
    Hal::write(latchOf(chain), false);
  }
}

void Chains::beginRound() {
  for (uint8_t at = 0; at < sizeof busy_; ++at) {
    busy_[at] = busy_next_[at];
    busy_next_[at] = 0;
  }
}

void Chains::goDark(SetupBook& book) {
  for (Slot* slot = book.first(); slot != book.last(); ++slot) {
    if (slot->kind == kLamp && slot->onChain()) set(slot->pin, slot->has(kActiveLow));
  }
  write();
}
