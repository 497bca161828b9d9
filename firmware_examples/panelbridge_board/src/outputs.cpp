#include "outputs.h"

#include "hal.h"

namespace {

constexpr uint8_t kOrder = 0x03;     // the commanded ToneOrder in a tone's state
constexpr uint8_t kSounding = 0x80;  // the tone is on now

void sound(Slot& slot, bool on) {
  slot.state = static_cast<uint8_t>(on ? slot.state | kSounding : slot.state & ~kSounding);
  Hal::tone(slot.pin, on ? slot.p1 : 0);
}

void light(const Slot& slot, Chains& chains, uint8_t brightness) {
  const bool low = slot.has(kActiveLow);
  if (slot.onChain()) {
    chains.set(slot.pin, (brightness != 0) != low);
  } else if (slot.has(kPwm)) {
    const uint8_t share = lampShare(brightness);
    Hal::dim(slot.pin, static_cast<uint8_t>(low ? 255 - share : share), low);
  } else {
    Hal::write(slot.pin, (brightness != 0) != low);
  }
}

}  // namespace

// To the eye, half the light looks much more than half as bright. A square law is close to that, is
// exact in integers and needs no table. Rounded up, so that only brightness 0 is off.
uint8_t lampShare(uint8_t brightness) {
  const uint16_t square = static_cast<uint16_t>(brightness * static_cast<uint16_t>(brightness));
  const uint16_t n = static_cast<uint16_t>(square + 255U);
  return static_cast<uint8_t>(static_cast<uint16_t>(n + (n >> 8)) >> 8);  // (square + 254) / 255
}

void Outputs::start(uint16_t ms) { setIdle(ms, true); }

void Outputs::goIdle(uint16_t ms) { setIdle(ms, false); }

void Outputs::setIdle(uint16_t ms, bool force) {
  for (Slot* slot = book_.firstOutput(); slot != book_.last(); ++slot) {
    if (slot->isOutput()) set(*slot, slot->kind == kTone ? 0 : slot->p1, ms, force);
  }
  chains_.write();
}

bool Outputs::acceptable(const uint8_t* values) const {
  if (book_.tones() == 0) return true;
  for (Slot* slot = book_.firstOutput(); slot != book_.last(); ++slot) {
    if (!slot->isOutput()) continue;
    if (slot->kind == kTone && *values > kContinuous) return false;
    values += slot->kind == kServo ? 2 : 1;
  }
  return true;
}

void Outputs::drive(const uint8_t* values, uint16_t ms) {
  for (Slot* slot = book_.firstOutput(); slot != book_.last(); ++slot) {
    if (!slot->isOutput()) continue;
    if (slot->kind == kServo) {
      set(*slot, read16(values), ms, false);
      values += 2;
    } else {
      const uint8_t value = *values++;
      if (slot->kind == kLamp && slot->onChain()) {  // there can be many
        slot->p2 = value;
        chains_.set(slot->pin, (value != 0) != slot->has(kActiveLow));
      } else {
        set(*slot, value, ms, false);
      }
    }
  }
  chains_.write();  // with every COMMAND, so that a disturbed chip is corrected
}

void Outputs::play(uint16_t ms) {
  if (book_.tones() == 0) return;
  for (Slot* slot = book_.firstOutput(); slot != book_.last(); ++slot) {
    if (slot->kind != kTone || (slot->state & kOrder) != kIntermittent) continue;
    const bool on = (slot->state & kSounding) != 0;
    const uint16_t part_ms = on ? slot->p2 : slot->p3;
    if (static_cast<uint16_t>(ms - slot->x) >= part_ms) {
      slot->x = static_cast<uint16_t>(slot->x + part_ms);
      sound(*slot, !on);
    }
  }
}

// An unchanged value is not set again: a tone's pattern continues while COMMANDs repeat it.
void Outputs::set(Slot& slot, uint16_t value, uint16_t ms, bool force) {
  switch (slot.kind) {
    case kLamp:
      if (!force && slot.p2 == value) return;
      slot.p2 = value;
      light(slot, chains_, static_cast<uint8_t>(value));
      return;
    case kTone:
      if (!force && (slot.state & kOrder) == value) return;
      slot.state = static_cast<uint8_t>(value);
      slot.x = ms;
      sound(slot, value != kSilent);
      return;
    default:
      if (value != 0 && value < slot.p2) value = slot.p2;
      if (value > slot.p3) value = slot.p3;
      if (!force && slot.x == value) return;
      slot.x = value;
      Hal::servo(slot.pin, value);
  }
}
