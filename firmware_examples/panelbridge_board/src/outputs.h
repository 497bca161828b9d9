// What the board drives: lamps, tones and servos of the set-up in force.
#ifndef PANELBRIDGE_OUTPUTS_H
#define PANELBRIDGE_OUTPUTS_H

#include <stdint.h>

#include "chains.h"
#include "setup_book.h"

// How much of the time a dimmed lamp is lit, of 255, for a brightness as the eye sees it.
uint8_t lampShare(uint8_t brightness);

class Outputs {
 public:
  Outputs(SetupBook& book, Chains& chains) : book_(book), chains_(chains) {}

  // Puts the outputs in force at their idle values.
  void start(uint16_t ms);
  void goIdle(uint16_t ms);
  // Whether every value of a COMMAND has a meaning; `values` has the set-up's length.
  bool acceptable(const uint8_t* values) const;
  void drive(const uint8_t* values, uint16_t ms);
  // Plays the intermittent tones; to be called often.
  void play(uint16_t ms);

 private:
  void setIdle(uint16_t ms, bool anew);
  void set(Slot& slot, uint16_t value, uint16_t ms, bool anew);

  SetupBook& book_;
  Chains& chains_;
};

#endif
