// Frames: COBS and CRC-16/IBM-3740 around a message. On the wire: COBS(message + CRC) 00.
#ifndef PANELBRIDGE_FRAMES_H
#define PANELBRIDGE_FRAMES_H

#include <stdint.h>

#include "protocol.h"

constexpr uint16_t kCrcStart = 0xFFFF;

uint16_t crcNext(uint16_t crc, uint8_t byte);

// Finds the valid frames in a stream of bytes.
class FrameReader {
 public:
  // Takes one byte; returns whether it completes a message, which is valid until the next call.
  bool take(uint8_t byte);
  const uint8_t* message() const { return bytes_; }
  // Bytes of the message, without its CRC.
  uint8_t length() const { return length_; }
  // Frames rejected since the start, modulo 256, including messages that are not valid.
  uint8_t bad() const { return bad_; }
  void countBad() { ++bad_; }

 private:
  void decode(uint8_t byte);
  void put(uint8_t byte);

  uint8_t bytes_[kMaxMessage];
  uint16_t crc_ = kCrcStart;
  uint8_t held_ = 0;  // bytes of the frame so far
  uint8_t left_ = 0;  // bytes of the present run still to come
  uint8_t size_ = 0;  // bytes decoded so far
  uint8_t length_ = 0;
  uint8_t bad_ = 0;
  bool skipping_ = false;
};

// Builds one frame and keeps it until it has been sent.
class FrameWriter {
 public:
  void begin(uint8_t type);
  void add8(uint8_t byte);
  void add16(uint16_t number);
  void end();

  bool idle() const { return next_ == size_; }
  // Sends as many bytes as the serial buffer has room for.
  void pump();

 private:
  void put(uint8_t byte);

  uint8_t bytes_[kMaxEncoded + 1];
  uint8_t size_ = 0;
  uint8_t next_ = 0;
  uint8_t run_ = 0;  // index of the length byte of the present run
  uint16_t crc_ = kCrcStart;
};

#endif
