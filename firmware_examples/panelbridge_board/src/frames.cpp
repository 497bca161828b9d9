#pragma GCC optimize("O2")  // these loops decide how many frames an 8-bit CPU can keep up with

#include "frames.h"

#include "hal.h"

// A whole byte at once, without a table, in bytes: about 20 cycles on an 8-bit CPU.
uint16_t crcNext(uint16_t crc, uint8_t byte) {
  uint8_t x = static_cast<uint8_t>((crc >> 8) ^ byte);
  x = static_cast<uint8_t>(x ^ (x >> 4));
  const uint8_t low = static_cast<uint8_t>(crc);
  const uint8_t first = static_cast<uint8_t>(low ^ static_cast<uint8_t>(x << 4) ^ (x >> 3));
  const uint8_t second = static_cast<uint8_t>(x ^ static_cast<uint8_t>(x << 5));
  return static_cast<uint16_t>(static_cast<uint16_t>(first) << 8 | second);
}

// Decodes COBS and the CRC byte by byte: a long frame at once would keep the contacts waiting.
bool FrameReader::take(uint8_t byte) {
  if (byte != 0) {
    if (held_ < kMaxEncoded) {
      decode(byte);
    } else if (!skipping_) {
      skipping_ = true;
      ++bad_;
    }
    return false;
  }
  const bool good = !skipping_ && left_ == 0 && size_ >= 3 && crc_ == 0;
  if (!skipping_ && held_ != 0 && !good) ++bad_;
  length_ = static_cast<uint8_t>(size_ - 2);
  skipping_ = false;
  held_ = size_ = left_ = 0;
  crc_ = kCrcStart;
  return good;
}

void FrameReader::decode(uint8_t byte) {
  if (left_ != 0) {
    --left_;
    put(byte);
  } else {
    if (held_ != 0) put(0);  // the zero between two runs
    left_ = static_cast<uint8_t>(byte - 1);
  }
  ++held_;
}

void FrameReader::put(uint8_t byte) {
  bytes_[size_++] = byte;
  crc_ = crcNext(crc_, byte);
}

namespace {
constexpr uint8_t kMostAtOnce = 16;  // bytes: a serial layer may take 8 us for each
}

void FrameWriter::begin(uint8_t type) {
  size_ = 1;
  run_ = 0;
  crc_ = kCrcStart;
  add8(type);
}

void FrameWriter::add8(uint8_t byte) {
  crc_ = crcNext(crc_, byte);
  put(byte);
}

void FrameWriter::add16(uint16_t number) {
  add8(static_cast<uint8_t>(number));
  add8(static_cast<uint8_t>(number >> 8));
}

void FrameWriter::end() {
  const uint16_t crc = crc_;
  put(static_cast<uint8_t>(crc >> 8));
  put(static_cast<uint8_t>(crc));
  bytes_[run_] = static_cast<uint8_t>(size_ - run_);
  bytes_[size_++] = 0;
  next_ = 0;
}

void FrameWriter::pump() {
  uint8_t room = next_ < size_ ? Hal::serialRoom() : 0;
  if (room == 0) return;
  if (room > kMostAtOnce) room = kMostAtOnce;
  while (next_ < size_ && room-- != 0) Hal::serialWrite(bytes_[next_++]);
  if (next_ == size_) Hal::serialPush();
}

void FrameWriter::put(uint8_t byte) {
  if (byte != 0) {
    bytes_[size_++] = byte;
    return;
  }
  bytes_[run_] = static_cast<uint8_t>(size_ - run_);
  run_ = size_++;
}
