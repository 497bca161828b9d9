// All that needs a timer: a tick for the loop, tones, servo pulses and the dimming of those pins
// whose own timer this is. One 16-bit timer, half a microsecond a count; the others stay as the
// environment sets them, so that every PWM pin dims whatever else the set-up has.
#ifndef PANELBRIDGE_AVR_PULSES_H
#define PANELBRIDGE_AVR_PULSES_H

#include <stdint.h>

namespace pulses {

void start();

// Whether a tick (each 250 us) has passed since the last call. With interrupts off.
bool takeTick();

// Whether this pin's own timer is taken, so that it is dimmed here, 125 times a second.
bool dims(uint8_t pin);
void dim(uint8_t pin, uint8_t share);

// hz = 0 makes it silent, and the pin low.
void tone(uint8_t pin, uint16_t hz);

// 0 = no pulse, the pin is low.
void servo(uint8_t pin, uint16_t pulse_us);

// Ends whatever goes on at the pin.
void letGo(uint8_t pin);

}  // namespace pulses

#endif
