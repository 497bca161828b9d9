#include "frames.h"

#include "hal.h"

// A whole byte at once, without a table: about 30 cycles on an 8-bit CPU.
uint16_t crcNext(uint16_t crc, uint8_t byte) {
  uint8_t x = static_cast<uint8_t>((crc >> 8) ^ byte);
  x = static_cast<uint8_t>(x ^ (x >> 4));
  return static_cast<uint16_t>((crc << 8) ^ (static_cast<uint16_t>(x) << 12) ^
                               (static_cast<uint16_t>(x) << 5) ^ x);
}

bool FrameReader::take(uint8_t byte) {
  if (byte != 0) {
    if (held_ < kMaxEncoded) {
      bytes_[held_++] = byte;
    } else if (!skipping_) {
      skipping_ = true;
      ++bad_;
    }
    return false;
  }
  const bool good = !skipping_ && held_ != 0 && open();
  if (!skipping_ && held_ != 0 && !good) ++bad_;
  skipping_ = false;
  held_ = 0;
  return good;
}

// Decodes COBS in place (the result is never longer) and checks the CRC.
bool FrameReader::open() {
  uint8_t from = 0;
  uint8_t to = 0;
  uint16_t crc = kCrcStart;
  while (from < held_) {
    uint8_t run = bytes_[from++];
    if (run - 1 > held_ - from) return false;
    while (--run != 0) {
      crc = crcNext(crc, bytes_[from]);
      bytes_[to++] = bytes_[from++];
    }
    if (from < held_) {
      crc = crcNext(crc, 0);
      bytes_[to++] = 0;
    }
  }
  if (to < 3 || crc != 0) return false;
  length_ = static_cast<uint8_t>(to - 2);
  return true;
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
