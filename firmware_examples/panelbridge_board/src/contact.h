// Debouncing of one contact; its state is kept in the item's slot. Times are ticks of 64 us, modulo
// 65536.
//
// Wait until quiet: a change counts once the contact has been stable for the debounce time.
// Hold after edge: a change counts at once; then the contact is ignored for the debounce time.
#ifndef PANELBRIDGE_CONTACT_H
#define PANELBRIDGE_CONTACT_H

#include <stdint.h>

#include "setup_book.h"

namespace contact {

constexpr uint8_t kRaw = 0x01;     // last raw state
constexpr uint8_t kStable = 0x02;  // debounced state
constexpr uint8_t kTiming = 0x04;  // the debounce time is running, until p2
constexpr uint8_t kBurst = 0x08;   // not yet quiet for the debounce time
constexpr uint8_t kNoisy = 0x10;   // the present or last burst was too long

inline uint16_t toTicks(uint32_t us) { return static_cast<uint16_t>(us >> 6); }

// Begins with the contact's present state, and a burst: it is not known to be quiet.
void start(Slot& slot, uint16_t tick, bool raw);

// Takes the raw state as the debounced one.
void believe(Slot& slot);

bool sampleActive(Slot& slot, uint16_t tick, bool raw);
// Call with each sample, at least once a second; returns whether the debounced state changed.
inline bool sample(Slot& slot, uint16_t tick, bool raw) {
  const uint8_t state = slot.state;
  if (raw == ((state & kRaw) != 0)) {
    if ((state & (kTiming | kBurst)) == 0) return false;
    // While it waits until quiet, both times end together.
    const bool holding = (state & (kTiming | kBurst)) == kTiming || slot.has(kHoldAfterEdge);
    if (!holding && static_cast<uint16_t>(tick - slot.x) < slot.p1) return false;
  }
  return sampleActive(slot, tick, raw);
}

inline bool isStable(const Slot& slot) { return (slot.state & kStable) != 0; }
inline bool isNoisy(const Slot& slot) { return (slot.state & kNoisy) != 0; }
// Whether its next sample can matter though its raw state does not change, or is reported.
inline bool isActive(const Slot& slot) { return (slot.state & (kTiming | kBurst | kNoisy)) != 0; }
inline bool isQuiet(const Slot& slot) { return (slot.state & kBurst) == 0; }

}  // namespace contact

#endif
