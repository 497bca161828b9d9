// The layer for AVR boards: the functions of hal.h on the board's own environment.
#ifndef PANELBRIDGE_AVR_LAYER_H
#define PANELBRIDGE_AVR_LAYER_H

namespace layer {

// Serial line, pulse timer and watchdog.
void start(unsigned long baud);

// After each turn: tells the watchdog that all is well and, when the program may rest, sleeps until
// something happens, at most a quarter of a millisecond.
void rest(bool may_sleep);

}  // namespace layer

#endif
