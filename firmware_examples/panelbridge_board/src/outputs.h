// The outputs of the active set-up: lamps, tones and servos.
#ifndef PANELBRIDGE_OUTPUTS_H
#define PANELBRIDGE_OUTPUTS_H

#include <stdint.h>

#include "chains.h"
#include "setup_book.h"

// PWM duty cycle of a dimmed lamp, of 255, for a brightness as the eye sees it.
uint8_t lampShare(uint8_t brightness);

class Outputs {
 public:
  Outputs(SetupBook& book, Chains& chains) : book_(book), chains_(chains) {}

  // Activates the outputs at their idle values.
  void start(uint16_t ms);
  void goIdle(uint16_t ms);
  // Whether every value of a COMMAND is valid; `values` has the set-up's length.
  bool acceptable(const uint8_t* values) const;
  void drive(const uint8_t* values, uint16_t ms);
  // Plays the intermittent tones; call often.
  void play(uint16_t ms);

 private:
  // `force`: set the value even if it is unchanged.
  void setIdle(uint16_t ms, bool force);
  void set(Slot& slot, uint16_t value, uint16_t ms, bool force);

  SetupBook& book_;
  Chains& chains_;
};

#endif
