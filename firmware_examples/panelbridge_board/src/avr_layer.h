// The AVR layer: implements hal.h with the Arduino core.
#ifndef PANELBRIDGE_AVR_LAYER_H
#define PANELBRIDGE_AVR_LAYER_H

namespace layer {

// Serial line, pulse timer and watchdog.
void start(unsigned long baud);

// Call at the end of each loop: feeds the watchdog and, if `may_sleep`, sleeps until the next
// interrupt, at most 250 us.
void rest(bool may_sleep);

}  // namespace layer

#endif
