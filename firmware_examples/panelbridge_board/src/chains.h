// Chains of shift registers: reads and writes their bits. PROTOCOL.md, section 6.
#ifndef PANELBRIDGE_CHAINS_H
#define PANELBRIDGE_CHAINS_H

#include <stdint.h>

#include "setup_book.h"

class Chains {
 public:
  // Activates the chain items of a set-up; all bits are 0.
  void start(SetupBook& book);
  bool anyInput() const { return inputs_; }

  void read();
  void write() const;
  // Turns all lamps off before the pins are released: the chips would keep their outputs.
  void goDark(SetupBook& book);

  // Contacts of a chip need no sample while its inputs do not change and none of them is timing.
  bool isBusy(uint8_t pin) const { return (busy_[chipOf(pin) / 8] & bitMask(chipOf(pin))) != 0; }
  void keepBusy(uint8_t pin) { setBusy(chipOf(pin)); }
  void beginRound();

  // `pin` is an item's pin, kFirstChainPin or higher.
  bool isHigh(uint8_t pin) const { return (chips_[chipOf(pin)] & bitMask(pin)) != 0; }
  void set(uint8_t pin, bool high) {
    uint8_t& chip = chips_[chipOf(pin)];
    chip = static_cast<uint8_t>(high ? chip | bitMask(pin) : chip & ~bitMask(pin));
  }

 private:
  void setBusy(uint8_t chip) { busy_next_[chip / 8] |= bitMask(chip); }
  static uint8_t chipOf(uint8_t pin) { return static_cast<uint8_t>(pin - kFirstChainPin) / 8; }

  uint8_t chips_[kMaxChips];
  // A bit for each chip: its contacts are sampled in this round, and in the next one.
  uint8_t busy_[kMaxChips / 8];
  uint8_t busy_next_[kMaxChips / 8];
  const Slot* chains_[kMaxChains];
  uint8_t count_ = 0;
  bool inputs_ = false;
};

#endif
