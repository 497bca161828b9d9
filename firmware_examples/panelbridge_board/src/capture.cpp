#include "capture.h"

void Capture::begin(uint8_t contact, uint16_t window_ms, bool raw, uint32_t now_us) {
  contact_ = contact;
  window_ms_ = window_ms;
  raw_ = raw;
  changes_ = 0;
  resolution_us_ = 0;
  first_closed_ = false;
  looked_us_ = now_us;
  watching_ = true;
}

void Capture::sample(bool raw, uint32_t now_us) {
  const uint32_t gap_us = now_us - looked_us_;
  looked_us_ = now_us;
  if (isOver(now_us)) return;
  if (gap_us > resolution_us_) {
    resolution_us_ = gap_us > 65535 ? 65535 : static_cast<uint16_t>(gap_us);
  }
  if (raw == raw_) return;
  raw_ = raw;
  if (changes_ == 0) {
    first_us_ = now_us;
    first_closed_ = raw;
  }
  if (changes_ < kMaxCaptureTimes) {
    const uint32_t at_us = now_us - first_us_;
    uint8_t* to = times_ + 3 * changes_;
    to[0] = static_cast<uint8_t>(at_us);
    to[1] = static_cast<uint8_t>(at_us >> 8);
    to[2] = static_cast<uint8_t>(at_us >> 16);
  }
  if (changes_ != 65535) ++changes_;
}

void Capture::writeHead(FrameWriter& writer, uint8_t session, uint8_t contact, bool first_closed,
                        uint16_t changes, uint16_t resolution_us) {
  writer.begin(kCaptured);
  writer.add8(session);
  writer.add8(contact);
  writer.add8(first_closed);
  writer.add16(changes);
  writer.add16(resolution_us);
}

void Capture::write(FrameWriter& writer, uint8_t session) const {
  const uint8_t times =
      changes_ < kMaxCaptureTimes ? static_cast<uint8_t>(changes_) : kMaxCaptureTimes;
  writeHead(writer, session, contact_, first_closed_, changes_, resolution_us_);
  for (uint8_t at = 0; at < 3 * times; ++at) writer.add8(times_[at]);
  writer.end();
}

void Capture::writeEmpty(FrameWriter& writer, uint8_t session, uint8_t contact) {
  writeHead(writer, session, contact, false, 0, 0);
  writer.end();
}
