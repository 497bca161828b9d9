#include "board.h"

#include "contact.h"
#include "hal.h"

namespace {

constexpr uint8_t kWatchNone = 255;
constexpr uint8_t kBytesPerPoll = 24;  // so that a full line does not delay the contacts
// Received bytes wake the loop more often than the contacts must be scanned.
constexpr uint8_t kScanPeriodUs = 200;
constexpr uint8_t kContactsPerPoll = 16;
constexpr uint16_t kChainsPeriodUs = 500;
constexpr uint16_t kNewerBelow = 32768;

void letGoAll() {
  for (uint8_t pin = 0; pin < board_kind::kAllPins; ++pin) {
    if (board_kind::exists(pin) && board_kind::isDigital(pin)) Hal::letGo(pin);
  }
}

}  // namespace

void Board::start() {
  boot_id_ = Hal::nextBootId();
  letGoAll();
  now_us_ = ms_begun_us_ = Hal::micros();
  hello_waits_ = true;
}

void Board::poll() {
  passTime();
  receive();
  if (!active_) {
    if (!book_.underWay() && static_cast<uint16_t>(ms16() - hello_ms_) >= kHelloEachMs) {
      hello_ms_ = static_cast<uint16_t>(hello_ms_ + kHelloEachMs);
      hello_waits_ = true;
    }
  } else if (next_contact_ != nullptr || since(scanned_us_) >= kScanPeriodUs ||
             capture_.watching()) {
    scan();
  }
  send();
}

// The work of an active session that does not depend on the line. A round of many contacts takes
// several calls, so that what the host sends meanwhile does not overflow the serial buffer.
void Board::scan() {
  if (next_contact_ == nullptr) {
    const uint16_t us = static_cast<uint16_t>(now_us_);
    scanned_us_ = us;
    next_contact_ = book_.first();
    next_place_ = 0;
    noisy_in_round_ = false;
    if (chains_.anyInput() && (since(chains_us_) >= kChainsPeriodUs || capture_.watching())) {
      chains_us_ = us;
      chains_.read();
    }
    chains_.beginRound();
  }
  readContacts();
  if (next_contact_ != book_.last()) return;
  next_contact_ = nullptr;
  noisy_ = noisy_in_round_;
  if (settling_) settle();
  keepTime();
}

void Board::keepTime() {
  readAnalogue();
  watch();
  outputs_.play(ms16());
  if (!host_silent_ && now_ms_ - host_heard_ms_ >= book_.hostTimeoutMs()) {
    host_silent_ = true;
    outputs_.goIdle(ms16());
  }
  uint16_t wait_ms = book_.reportIntervalMs();
  if (edges_.count() != 0 && wait_ms > kEdgeRepeatMs) wait_ms = kEdgeRepeatMs;
  if (sinceReport() >= wait_ms) report_waits_ = true;
}

void Board::passTime() {
  now_us_ = Hal::micros();
  while (now_us_ - ms_begun_us_ >= 1000) {
    ms_begun_us_ += 1000;
    ++now_ms_;
  }
}

void Board::receive() {
  for (uint8_t left = kBytesPerPoll; left != 0; --left) {
    if (has_message_) {
      const uint8_t type = reader_.message()[0];
      // Do not overwrite a reply that has not been sent; a COMMAND has no reply.
      if (reply_waits_ && type >= kSetupBegin && type <= kSetupCommit) return;
      if (captured_waits_ && type == kCapture) return;
      has_message_ = false;
      dispatch();
      continue;
    }
    const int16_t byte = Hal::serialRead();
    if (byte < 0) return;
    has_message_ = reader_.take(static_cast<uint8_t>(byte));
    watch();
  }
}

bool Board::lengthFits(uint8_t type, uint8_t length) const {
  switch (type) {
    case kHelloRequest:
      return length == 2;
    case kSetupBegin:
      return length == 9;
    case kSetupItem:
      return length == 2 + kItemBody;
    case kSetupCommit:
      return length == 3;
    case kCommand:
      return length >= kCommandHead;
    case kRelease:
      return length == 1;
    case kCapture:
      return length == 5;
    default:
      return false;  // an unknown type
  }
}

void Board::dispatch() {
  const uint8_t* message = reader_.message();
  if (!lengthFits(message[0], reader_.length())) {
    reader_.countBad();
    return;
  }
  switch (message[0]) {
    case kHelloRequest:
      hello_waits_ = true;
      return;
    case kSetupBegin:
      endSession();
      answer(kSetupBegin, 0, book_.begin(message));
      return;
    case kSetupItem:
      answer(kSetupItem, message[1], book_.take(message));
      return;
    case kSetupCommit:
      commit();
      return;
    case kCommand:
      command();
      return;
    case kRelease:
      endSession();
      hello_waits_ = true;
      return;
    default:
      capture();
  }
}

void Board::answer(uint8_t type, uint8_t index, uint8_t status) {
  reply_[0] = book_.session();
  reply_[1] = type;
  reply_[2] = index;
  reply_[3] = status;
  reply_checksum_ = book_.checksum();
  reply_waits_ = true;
}

void Board::commit() {
  const uint8_t status = book_.commit(read16(reader_.message() + 1));
  answer(kSetupCommit, 0, status);
  if (active_ || status != kOk) return;
  chains_.start(book_);
  outputs_.start(ms16());
  for (Slot* slot = book_.first(); slot != book_.last(); ++slot) {
    if (slot->kind == kContact && slot->has(kPullUp)) Hal::pullUp(slot->pin);
  }
  if (chains_.anyInput()) chains_.read();
  for (Slot* slot = book_.first(); slot != book_.last(); ++slot) {
    if (slot->kind == kContact) contact::start(*slot, contact::toTicks(now_us_), rawContact(*slot));
    if (slot->kind == kAnalogue) slot->p2 = Hal::analogue(slot->pin);
  }
  edges_.clear();
  active_ = true;
  settling_ = book_.contacts() != 0;
  commanded_ = host_silent_ = analogue_changed_ = noisy_ = false;
  report_sequence_ = command_sequence_ = 0;
  next_contact_ = nullptr;
  next_analogue_ = book_.last();
  host_heard_ms_ = now_ms_;
  reported_ms_ = analogues_ms_ = ms16();
  report_waits_ = true;
}

void Board::command() {
  const uint8_t* message = reader_.message();
  if (!active_ || message[1] != book_.session()) return;  // from an earlier session
  const uint8_t* values = message + kCommandHead;
  if (reader_.length() != book_.commandLength() || !outputs_.acceptable(values)) {
    reader_.countBad();
    return;
  }
  const uint16_t sequence = read16(message + 2);
  const uint16_t step = static_cast<uint16_t>(sequence - command_sequence_);
  if (commanded_ && (step == 0 || step >= kNewerBelow)) return;
  commanded_ = true;
  command_sequence_ = sequence;
  host_silent_ = false;
  host_heard_ms_ = now_ms_;
  outputs_.drive(values, ms16());
  acknowledge(read16(message + 4));
  if (sinceReport() >= kAnswerGapMs) report_waits_ = true;
}

void Board::acknowledge(uint16_t next) {
  const uint8_t known = edges_.before(next);
  if (known == 0) return;
  turn(known);
  edges_.acknowledge(known);
  if (edges_.anyUnsent()) report_waits_ = true;
}

void Board::capture() {
  const uint8_t* message = reader_.message();
  if (!active_ || message[1] != book_.session()) return;
  const uint8_t place = message[2];
  const uint16_t window_ms = read16(message + 3);
  const bool is_window = window_ms >= 1 && window_ms <= kMaxCaptureWindowMs;
  if (!is_window || (place != kWatchNone && place >= book_.contacts())) {
    reader_.countBad();
    return;
  }
  capture_.stop();
  captured_contact_ = place;
  captured_waits_ = true;
  if (place == kWatchNone) return;
  watched_ = contactAt(place);
  capture_.begin(place, window_ms, rawContact(*watched_), Hal::micros());
}

void Board::endSession() {
  if (active_) chains_.goDark(book_);
  letGoAll();
  book_.forget();
  capture_.stop();
  active_ = false;
  next_contact_ = nullptr;
  report_waits_ = captured_waits_ = false;
  hello_ms_ = ms16();
}

bool Board::rawContact(const Slot& slot) const {
  const bool high = slot.onChain() ? chains_.isHigh(slot.pin) : Hal::read(slot.pin);
  return high != slot.has(kActiveLow);
}

// Turns the contacts of the oldest `edges` edges over in closed_, or back.
void Board::turn(uint8_t edges) {
  while (edges-- != 0) {
    const uint8_t contact = edges_.at(edges) & 0x7F;
    closed_[contact / 8] = static_cast<uint8_t>(closed_[contact / 8] ^ bitMask(contact));
  }
}

Slot* Board::contactAt(uint8_t place) {
  Slot* slot = book_.first();
  while (slot->kind != kContact || place-- != 0) ++slot;
  return slot;
}

void Board::sampleWatched() { capture_.sample(rawContact(*watched_), Hal::micros()); }

__attribute__((optimize("O2"))) void Board::readContacts() {
  const uint16_t tick = contact::toTicks(now_us_);
  Slot* const last = book_.last();
  Slot* slot = next_contact_;
  for (uint8_t left = kContactsPerPoll; slot != last && left != 0; ++slot) {
    if (slot->kind != kContact) continue;
    const uint8_t place = next_place_++;
    if (slot->onChain() && !chains_.isBusy(slot->pin)) continue;
    if (contact::sample(*slot, tick, rawContact(*slot)) && !settling_) {
      if (edges_.full(book_.contacts())) {
        turn(1);
        edges_.lose();
      }
      edges_.add(place, contact::isStable(*slot));
      report_waits_ = true;
    }
    if (contact::isActive(*slot) && slot->onChain()) chains_.keepBusy(slot->pin);
    if (contact::isNoisy(*slot)) noisy_in_round_ = true;
    if ((--left & 3) == 0) watch();
  }
  next_contact_ = slot;
  watch();
}

// Pull-ups need time to charge what is connected to them: until the contacts have been quiet, they
// make no edges and are not reported.
void Board::settle() {
  const uint16_t waited_ms = sinceReport();
  if (waited_ms <= kSettleLeastMs) return;
  for (Slot* slot = book_.first(); slot != book_.last() && waited_ms < kSettleMostMs; ++slot) {
    if (slot->kind == kContact && !contact::isQuiet(*slot)) return;
  }
  uint8_t place = 0;
  for (uint8_t& byte : closed_) byte = 0;
  for (Slot* slot = book_.first(); slot != book_.last(); ++slot) {
    if (slot->kind != kContact) continue;
    contact::believe(*slot);
    if (contact::isStable(*slot)) closed_[place / 8] |= bitMask(place);
    ++place;
  }
  settling_ = false;
  report_waits_ = true;
}

// Reads one input a call: a conversion takes as long as two or three bytes on the line.
void Board::readAnalogue() {
  if (book_.analogues() == 0) return;
  if (next_analogue_ == book_.last()) {
    if (analogue_changed_) report_waits_ = true;
    analogue_changed_ = false;
    if (static_cast<uint16_t>(ms16() - analogues_ms_) < kAnswerGapMs) return;
    analogues_ms_ = ms16();
    next_analogue_ = book_.first();
  }
  while (next_analogue_ != book_.last() && next_analogue_->kind != kAnalogue) ++next_analogue_;
  if (next_analogue_ == book_.last()) return;
  Slot& slot = *next_analogue_++;
  const uint16_t reading = Hal::analogue(slot.pin);
  const uint16_t change =
      static_cast<uint16_t>(reading > slot.p2 ? reading - slot.p2 : slot.p2 - reading);
  if (change > slot.p1) {
    slot.p2 = reading;
    analogue_changed_ = true;
  }
}
