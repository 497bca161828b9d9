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

  void read(SetupBook& book);
  void write(SetupBook& book) const;
  // Turns all lamps off before the pins are released: the chips would keep their outputs.
  void goDark(SetupBook& book);

  // `pin` is an item's pin, kFirstChainPin or higher.
  bool isHigh(uint8_t pin) const;
  void set(uint8_t pin, bool high);

 private:
  uint8_t chips_[kMaxChips];
  bool inputs_ = false;
  bool outputs_ = false;
};

#endif
