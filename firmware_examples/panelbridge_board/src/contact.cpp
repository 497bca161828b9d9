#include "contact.h"

namespace contact {
namespace {

void set(Slot& slot, uint8_t bit, bool on) {
  slot.state = static_cast<uint8_t>(on ? slot.state | bit : slot.state & ~bit);
}

bool get(const Slot& slot, uint8_t bit) { return (slot.state & bit) != 0; }

bool isDue(uint16_t tick, uint16_t due) { return static_cast<int16_t>(tick - due) >= 0; }

void settle(Slot& slot, uint16_t tick) {
  while (get(slot, kTiming) && isDue(tick, slot.p2)) {
    // A change that came during the hold counts now, and starts a hold of its own.
    const bool again = slot.has(kHoldAfterEdge) && get(slot, kRaw) != get(slot, kStable);
    set(slot, kStable, get(slot, kRaw));
    if (again) {
      slot.p2 = static_cast<uint16_t>(slot.p2 + slot.p1);
    } else {
      set(slot, kTiming, false);
    }
  }
  if (get(slot, kBurst) && static_cast<uint16_t>(tick - slot.x) >= slot.p1) {
    set(slot, kBurst, false);
  }
}

void change(Slot& slot, uint16_t tick, bool raw) {
  set(slot, kRaw, raw);
  if (!get(slot, kBurst)) {
    set(slot, kBurst, true);
    set(slot, kNoisy, false);
    slot.p3 = tick;
  }
  slot.x = tick;
  if (static_cast<uint16_t>(tick - slot.p3) > 2 * slot.p1) set(slot, kNoisy, true);
  if (!slot.has(kHoldAfterEdge)) {
    set(slot, kTiming, true);
    slot.p2 = static_cast<uint16_t>(tick + slot.p1);
  } else if (!get(slot, kTiming)) {
    set(slot, kStable, raw);
    set(slot, kTiming, true);
    slot.p2 = static_cast<uint16_t>(tick + slot.p1);
  }
}

}  // namespace

void start(Slot& slot, uint16_t tick, bool raw) {
  slot.p1 = static_cast<uint16_t>((slot.p1 * 125 + 7) / 8);  // ms to ticks, rounded up
  slot.state = raw ? kBurst | kRaw | kStable : kBurst;
  slot.p3 = slot.x = tick;
}

void believe(Slot& slot) { set(slot, kStable, get(slot, kRaw)); }

bool sample(Slot& slot, uint16_t tick, bool raw) {
  if ((slot.state & (kTiming | kBurst)) == 0 && raw == get(slot, kRaw)) return false;
  const bool before = isStable(slot);
  settle(slot, tick);
  if (raw != get(slot, kRaw)) change(slot, tick, raw);
  return isStable(slot) != before;
}

}  // namespace contact
