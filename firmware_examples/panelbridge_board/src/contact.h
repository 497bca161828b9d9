// Debouncing of one contact, on the slot of its item. Time is in ticks of 64 us, modulo 65536.
//
// Wait until quiet: a change counts once the contact has kept it for the debounce time.
// Hold after edge: a change counts at once, and the contact is then held for the debounce time.
#ifndef PANELBRIDGE_CONTACT_H
#define PANELBRIDGE_CONTACT_H

#include <stdint.h>

#include "setup_book.h"

namespace contact {

constexpr uint8_t kRaw = 0x01;     // as seen last
constexpr uint8_t kStable = 0x02;  // settled
constexpr uint8_t kTiming = 0x04;  // the debounce time runs, until p2
constexpr uint8_t kBurst = 0x08;   // it has not been quiet for the debounce time yet
constexpr uint8_t kNoisy = 0x10;   // the burst that is on, or the last one, was too long

inline uint16_t toTicks(uint32_t us) { return static_cast<uint16_t>(us >> 6); }

// Puts the contact in force in the state that it has now, without an edge.
void start(Slot& slot, bool raw);

// Takes a look at the contact, at least once a second; true: its settled state has changed.
bool look(Slot& slot, uint16_t tick, bool raw);

inline bool isStable(const Slot& slot) { return (slot.state & kStable) != 0; }
inline bool isNoisy(const Slot& slot) { return (slot.state & kNoisy) != 0; }

}  // namespace contact

#endif
