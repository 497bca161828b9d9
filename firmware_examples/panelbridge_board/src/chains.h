// Chains of shift registers: their bits, read and written as PROTOCOL.md says.
#ifndef PANELBRIDGE_CHAINS_H
#define PANELBRIDGE_CHAINS_H

#include <stdint.h>

#include "setup_book.h"

class Chains {
 public:
  // Puts the chain items of a set-up in force; all bits are 0.
  void start(SetupBook& book);
  bool anyInput() const { return inputs_; }

  void read(SetupBook& book);
  void write(SetupBook& book) const;
  // All outputs dark: chips keep what they have when the pins are let go.
  void goDark(SetupBook& book);

  // By an item's pin, kFirstChainPin or more.
  bool isHigh(uint8_t pin) const;
  void set(uint8_t pin, bool high);

 private:
  uint8_t chips_[kMaxChips];
  bool inputs_ = false;
  bool outputs_ = false;
};

#endif
