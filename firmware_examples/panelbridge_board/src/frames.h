// Frames: COBS and CRC-16/IBM-3740 around a message. On the wire: COBS(message + CRC) 00.
#ifndef PANELBRIDGE_FRAMES_H
#define PANELBRIDGE_FRAMES_H

#include <stdint.h>

#include "protocol.h"

constexpr uint16_t kCrcStart = 0xFFFF;

uint16_t crcNext(uint16_t crc, uint8_t byte);

// Finds the good frames in a stream of any bytes.
class FrameReader {
 public:
  // Takes one byte; true: a message has come, and stays until the next call.
  bool take(uint8_t byte);
  const uint8_t* message() const { return bytes_; }
  // Bytes of the message, without its CRC.
  uint8_t length() const { return length_; }
  // Frames refused since the start, modulo 256; also those that made no sense.
  uint8_t bad() const { return bad_; }
  void countBad() { ++bad_; }

 private:
  bool open();

  uint8_t bytes_[kMaxEncoded];
  uint8_t held_ = 0;
  uint8_t length_ = 0;
  uint8_t bad_ = 0;
  bool skipping_ = false;
};

// Builds one frame and holds it until the serial line has taken it.
class FrameWriter {
 public:
  void begin(uint8_t type);
  void add8(uint8_t byte);
  void add16(uint16_t number);
  void end();

  bool idle() const { return next_ == size_; }
  // Hands over as many bytes as the serial line has room for.
  void pump();

 private:
  void put(uint8_t byte);

  uint8_t bytes_[kMaxEncoded + 1];
  uint8_t size_ = 0;
  uint8_t next_ = 0;
  uint8_t run_ = 0;  // where the length of the run that is on will stand
  uint16_t crc_ = kCrcStart;
};

#endif
