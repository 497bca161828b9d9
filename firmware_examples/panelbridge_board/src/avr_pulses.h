// The pulse timer: the loop's tick, tones, servo pulses, and software PWM on the pins whose PWM
// timer it takes. One 16-bit timer, 0.5 us a count. The Arduino core keeps the other timers, so
// every PWM pin can dim a lamp, whatever else the set-up has.
#ifndef PANELBRIDGE_AVR_PULSES_H
#define PANELBRIDGE_AVR_PULSES_H

#include <stdint.h>

namespace pulses {

void start();

// Whether a tick (every 250 us) has passed since the last call. Call with interrupts off.
bool takeTick();

// Whether this pin needs software PWM (125 Hz) because its timer is the pulse timer.
bool dims(uint8_t pin);
void dim(uint8_t pin, uint8_t share);

// hz = 0: silent, the pin is low.
void tone(uint8_t pin, uint16_t hz);

// pulse_us = 0: no pulse, the pin is low.
void servo(uint8_t pin, uint16_t pulse_us);

// Stops any pulses and tone on the pin.
void letGo(uint8_t pin);

}  // namespace pulses

#endif
