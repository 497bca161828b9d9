// Sending: one frame at a time, built when the line is free.
#include "board.h"
#include "hal.h"

void Board::send() {
  while (writer_.idle()) {
    if (reply_waits_) {
      writeReply();
    } else if (hello_waits_) {
      writeHello();
    } else if (captured_waits_) {
      captured_waits_ = false;
      Capture::writeEmpty(writer_, book_.session(), captured_contact_);
    } else if (capture_.isDone(Hal::micros())) {  // now_us_ may be older than the first change
      capture_.write(writer_, book_.session());
      capture_.stop();
    } else if (report_waits_ && !settling_ && next_contact_ == nullptr) {
      writeReport();
    } else {
      return;
    }
    writer_.pump();
  }
  writer_.pump();
}

void Board::writeHello() {
  hello_waits_ = false;
  writer_.begin(kHello);
  writer_.add8(kProtocolVersion);
  writer_.add8(board_kind::kCode);
  writer_.add8(kFirmwareMajor);
  writer_.add8(kFirmwareMinor);
  writer_.add16(boot_id_);
  writer_.add16(active_ ? book_.checksum() : 0);
  writer_.add8(board_kind::kMaxItems);
  writer_.end();
}

void Board::writeReply() {
  reply_waits_ = false;
  writer_.begin(kSetupReply);
  for (const uint8_t byte : reply_) writer_.add8(byte);
  writer_.add16(reply_checksum_);
  writer_.end();
}

void Board::writeReport() {
  const uint8_t sent = edges_.count() < kMaxEdges ? edges_.count() : kMaxEdges;
  const uint8_t bytes = static_cast<uint8_t>((book_.contacts() + 7) / 8);
  uint8_t flags = noisy_ ? kNoisyContact : 0;
  turn(sent);  // report the state after the edges of this REPORT
  watch();
  if (host_silent_) flags |= kHostSilent;
  if (edges_.lost()) flags |= kEdgesLost;
  report_waits_ = false;
  reported_ms_ = ms16();
  writer_.begin(kReport);
  writer_.add8(book_.session());
  writer_.add16(report_sequence_++);
  writer_.add16(command_sequence_);
  writer_.add8(flags);
  writer_.add8(reader_.bad());
  writer_.add16(edges_.first());
  writer_.add8(sent);
  edges_.markSent(sent);
  watch();  // building a REPORT takes longer than a bounce
  for (uint8_t at = 0; at < bytes; ++at) writer_.add8(closed_[at]);
  turn(sent);
  for (Slot* slot = book_.first(); slot != book_.last(); ++slot) {
    if (slot->kind != kAnalogue) continue;
    writer_.add16(slot->p2);
    watch();
  }
  for (uint8_t at = 0; at < sent; ++at) {
    writer_.add8(edges_.at(at));
    if ((at & 3) == 0) watch();
  }
  writer_.end();
}
