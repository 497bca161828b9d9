#include "contact.h"

namespace contact {
namespace {

bool isDue(uint16_t tick, uint16_t due) { return static_cast<int16_t>(tick - due) >= 0; }

// The debounced state follows the raw one.
uint8_t follow(uint8_t state) {
  return static_cast<uint8_t>((state & kRaw) != 0 ? state | kStable : state & ~kStable);
}

uint8_t settle(Slot& slot, uint8_t state, uint16_t tick) {
  while ((state & kTiming) != 0 && isDue(tick, slot.p2)) {
    // A change that came during the hold counts now, and starts a hold of its own.
    const bool again = slot.has(kHoldAfterEdge) && follow(state) != state;
    state = follow(state);
    if (again) {
      slot.p2 = static_cast<uint16_t>(slot.p2 + slot.p1);
    } else {
      state = static_cast<uint8_t>(state & ~kTiming);
    }
  }
  if ((state & kBurst) != 0 && static_cast<uint16_t>(tick - slot.x) >= slot.p1) {
    state = static_cast<uint8_t>(state & ~kBurst);
  }
  return state;
}

uint8_t change(Slot& slot, uint8_t state, uint16_t tick) {
  state ^= kRaw;
  if ((state & kBurst) == 0) {
    state = static_cast<uint8_t>((state | kBurst) & ~kNoisy);
    slot.p3 = tick;
  }
  slot.x = tick;
  if (static_cast<uint16_t>(tick - slot.p3) > 2 * slot.p1) state |= kNoisy;
  if (!slot.has(kHoldAfterEdge)) {
    state |= kTiming;
    slot.p2 = static_cast<uint16_t>(tick + slot.p1);
  } else if ((state & kTiming) == 0) {
    state = follow(state) | kTiming;
    slot.p2 = static_cast<uint16_t>(tick + slot.p1);
  }
  return state;
}

}  // namespace

void start(Slot& slot, uint16_t tick, bool raw) {
  slot.p1 = static_cast<uint16_t>((slot.p1 * 125 + 7) / 8);  // ms to ticks, rounded up
  slot.state = raw ? kBurst | kRaw | kStable : kBurst;
  slot.p3 = slot.x = tick;
}

void believe(Slot& slot) { slot.state = follow(slot.state); }

bool sampleActive(Slot& slot, uint16_t tick, bool raw) {
  const uint8_t before = slot.state;
  uint8_t state = settle(slot, before, tick);
  if (raw != ((state & kRaw) != 0)) state = change(slot, state, tick);
  slot.state = state;
  return ((state ^ before) & kStable) != 0;
}

}  // namespace contact
