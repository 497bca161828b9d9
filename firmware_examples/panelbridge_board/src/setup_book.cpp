#include "setup_book.h"

#include "frames.h"

namespace {

constexpr uint8_t kLongest = kMaxMessage - 2;  // without the CRC
constexpr uint8_t kReportHead = 11;
static_assert(board_kind::kMaxItems <= 128, "an edge has seven bits for the contact");
// Limits of the AVR layer's pulse timer.
constexpr uint16_t kLowestHz = 31;
constexpr uint16_t kHighestHz = 10000;
constexpr uint16_t kLongestPulseUs = 10000;

bool isKnown(uint8_t kind) {
  return kind == kContact || kind == kAnalogue || (kind >= kLamp && kind <= kServo) ||
         kind == kChainIn || kind == kChainOut;
}

uint8_t knownFlags(uint8_t kind) {
  if (kind == kContact) return kPullUp | kActiveLow | kHoldAfterEdge;
  return kind == kLamp ? kActiveLow | kPwm : 0;
}

bool pinCan(const Slot& item) {
  if (item.kind == kAnalogue) return board_kind::isAnalogue(item.pin);
  if (!board_kind::isDigital(item.pin)) return false;
  return item.kind != kLamp || !item.has(kPwm) || board_kind::hasPwm(item.pin);
}

bool valuesFit(const Slot& item) {
  const bool alone = item.p2 == 0 && item.p3 == 0;
  switch (item.kind) {
    case kContact:
      return alone && item.p1 >= 1 && item.p1 <= kLongestDebounceMs;
    case kAnalogue:
      return alone && item.p1 <= board_kind::kCounts;
    case kLamp:
      return alone && item.p1 <= 255;
    case kTone:
      return item.p1 >= kLowestHz && item.p1 <= kHighestHz && item.p2 > 0 && item.p3 > 0;
    case kServo:
      return item.p2 > 0 && item.p2 <= item.p3 && item.p3 <= kLongestPulseUs &&
             (item.p1 == 0 || (item.p1 >= item.p2 && item.p1 <= item.p3));
    default:
      return item.p3 >= 1 && item.p3 <= kMaxChips;
  }
}

}  // namespace

void SetupBook::forget() {
  count_ = first_output_ = announced_ = session_ = 0;
  contacts_ = analogues_ = output_bytes_ = 0;
  tones_ = servos_ = chains_ = chips_ = 0;
  crc_ = kCrcStart;
  wanted_checksum_ = 0;
  host_timeout_ms_ = report_interval_ms_ = 0;
}

uint8_t SetupBook::begin(const uint8_t* message) {
  forget();
  const uint16_t timeout_ms = read16(message + 5);
  const uint16_t interval_ms = read16(message + 7);
  if (message[1] == 0 || timeout_ms == 0 || interval_ms == 0) return kBadValue;
  if (message[2] > board_kind::kMaxItems) return kTooManyItems;
  session_ = message[1];
  announced_ = message[2];
  wanted_checksum_ = read16(message + 3);
  host_timeout_ms_ = timeout_ms;
  report_interval_ms_ = interval_ms;
  return kOk;
}

uint8_t SetupBook::take(const uint8_t* message) {
  if (!underWay()) return kBadOrder;
  if (isSameAsLast(message)) return kOk;
  if (message[1] != count_ || count_ >= announced_) return kBadOrder;
  const uint8_t* body = message + 2;
  Slot item = {body[0],          body[1],          body[2],          0,
               read16(body + 3), read16(body + 5), read16(body + 7), 0};
  const uint8_t status = judge(item);
  if (status != kOk) return status;
  count(item);
  if (output_bytes_ == 0) first_output_ = static_cast<uint8_t>(count_ + 1);
  slots_[count_++] = item;
  for (uint8_t at = 0; at < kItemBody; ++at) {
    last_[at] = body[at];
    crc_ = crcNext(crc_, body[at]);
  }
  return kOk;
}

uint8_t SetupBook::commit(uint16_t checksum) const {
  if (!underWay() || count_ != announced_) return kBadOrder;
  return checksum == wanted_checksum_ && checksum == crc_ ? kOk : kBadChecksum;
}

bool SetupBook::isSameAsLast(const uint8_t* message) const {
  if (count_ == 0 || message[1] != count_ - 1) return false;
  for (uint8_t at = 0; at < kItemBody; ++at) {
    if (last_[at] != message[2 + at]) return false;
  }
  return true;
}

uint8_t SetupBook::judge(const Slot& item) const {
  if (!isKnown(item.kind)) return kUnknownKind;
  const uint8_t pins = judgePins(item);
  if (pins != kOk) return pins;
  if ((item.flags & ~knownFlags(item.kind)) != 0 || !valuesFit(item)) return kBadValue;
  if (item.isChain() && (chains_ >= kMaxChains || chips_ + item.p3 > kMaxChips)) {
    return kTooManyItems;
  }
  if (item.kind == kTone && tones_ >= board_kind::kMaxTones) return kTooManyItems;
  if (item.kind == kTone && tones_ != 0 && item.p1 + hzOfTones() > kMaxTonesHz) return kBadValue;
  if (item.kind == kServo && servos_ >= board_kind::kMaxServos) return kTooManyItems;
  const uint8_t contacts = static_cast<uint8_t>(contacts_ + (item.kind == kContact));
  const uint8_t analogues = static_cast<uint8_t>(analogues_ + (item.kind == kAnalogue));
  const uint8_t outputs =
      static_cast<uint8_t>(output_bytes_ + item.isOutput() + (item.kind == kServo));
  const uint8_t report =
      static_cast<uint8_t>(kReportHead + (contacts + 7) / 8 + 2 * analogues + kMaxEdges);
  if (report > kLongest || kCommandHead + outputs > kLongest) return kReportTooLong;
  return kOk;
}

uint8_t SetupBook::judgePins(const Slot& item) const {
  const uint16_t wanted[] = {item.pin, item.p1, item.p2};
  const uint8_t number = item.isChain() ? 3 : 1;
  for (uint8_t at = 0; at < number; ++at) {
    if (!exists(wanted[at])) return kNoSuchPin;
  }
  for (uint8_t at = 0; at < number; ++at) {
    if (inUse(wanted[at]) || (at != 0 && wanted[at] == item.pin)) return kPinInUse;
  }
  if (!item.isChain()) return (item.onChain() ? bitCan(item) : pinCan(item)) ? kOk : kPinCannot;
  if (item.p1 == item.p2) return kPinInUse;
  for (const uint16_t pin : wanted) {
    if (pin >= kFirstChainPin || !board_kind::isDigital(static_cast<uint8_t>(pin))) {
      return kPinCannot;
    }
  }
  return kOk;
}

// The chip makes tones in interrupts, two in each period.
uint16_t SetupBook::hzOfTones() const {
  uint16_t hz = 0;
  for (const Slot* slot = slots_; slot != slots_ + count_; ++slot) {
    if (slot->kind == kTone) hz = static_cast<uint16_t>(hz + slot->p1);
  }
  return hz;
}

// Whether it is a pin that the builder may use, or a bit of a chain accepted so far.
bool SetupBook::exists(uint16_t pin) const {
  if (pin < kFirstChainPin) return board_kind::exists(static_cast<uint8_t>(pin));
  return pin - kFirstChainPin < 8 * chips_;
}

bool SetupBook::inUse(uint16_t pin) const {
  for (const Slot* slot = slots_; slot != slots_ + count_; ++slot) {
    if (slot->pin == pin || (slot->isChain() && (slot->p1 == pin || slot->p2 == pin))) return true;
  }
  return false;
}

bool SetupBook::bitCan(const Slot& item) const {
  const uint8_t chip = static_cast<uint8_t>((item.pin - kFirstChainPin) / 8);
  const Slot* chain = slots_;
  while (!chain->isChain() || chip < chain->x || chip >= chain->x + chain->p3) ++chain;
  if (item.has(kPullUp) || item.has(kPwm)) return false;
  return item.kind == (chain->kind == kChainIn ? kContact : kLamp);
}

void SetupBook::count(Slot& item) {
  contacts_ = static_cast<uint8_t>(contacts_ + (item.kind == kContact));
  analogues_ = static_cast<uint8_t>(analogues_ + (item.kind == kAnalogue));
  tones_ = static_cast<uint8_t>(tones_ + (item.kind == kTone));
  servos_ = static_cast<uint8_t>(servos_ + (item.kind == kServo));
  output_bytes_ = static_cast<uint8_t>(output_bytes_ + item.isOutput() + (item.kind == kServo));
  if (item.isChain()) {
    item.x = chips_;
    ++chains_;
    chips_ = static_cast<uint8_t>(chips_ + item.p3);
  }
}
