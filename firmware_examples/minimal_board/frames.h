// Frames on the line: COBS, a CRC-16 and a final zero (PROTOCOL.md, section 1).
#ifndef FRAMES_H
#define FRAMES_H

#include <Arduino.h>

constexpr uint8_t kMaxMessage = 120;  // with its CRC
constexpr uint8_t kMaxEncoded = 121;  // without the final zero

inline uint16_t crc16(uint16_t crc, uint8_t byte) {
  crc = (uint16_t)(crc ^ (uint16_t)byte << 8);
  for (uint8_t bit = 0; bit < 8; ++bit) {
    crc = (uint16_t)((crc & 0x8000) != 0 ? (uint16_t)(crc << 1) ^ 0x1021 : crc << 1);
  }
  return crc;
}

// Collects bytes until a zero and decodes them.
struct FrameReader {
  uint8_t bytes[kMaxEncoded];
  uint8_t length;  // of the message without its CRC, once take() has returned true
  uint8_t held;
  bool tooLong;
  uint8_t bad;  // frames that were discarded, modulo 256

  // Returns whether a message is complete. It is in `bytes`, until the next call.
  bool take(uint8_t byte) {
    if (byte != 0) {
      if (held < kMaxEncoded) {
        bytes[held++] = byte;
      } else if (!tooLong) {
        tooLong = true;
        ++bad;
      }
      return false;
    }
    const uint8_t count = held;
    const bool skip = tooLong || count == 0;  // counted already, or an empty frame
    held = 0;
    tooLong = false;
    if (skip) return false;
    if (decode(count)) return true;
    ++bad;
    return false;
  }

 private:
  bool decode(uint8_t count) {
    uint8_t size = 0;
    uint16_t crc = 0xFFFF;
    for (uint8_t at = 0; at < count;) {
      const uint8_t run = bytes[at];
      if (at + run > count) return false;  // it points beyond the end
      if (at != 0) {
        bytes[size++] = 0;  // the zero between two runs
        crc = crc16(crc, 0);
      }
      for (uint8_t left = 1; left < run; ++left) {
        const uint8_t byte = bytes[at + left];
        bytes[size++] = byte;
        crc = crc16(crc, byte);
      }
      at = (uint8_t)(at + run);
    }
    if (size < 3 || crc != 0) return false;  // over message and CRC it is 0
    length = (uint8_t)(size - 2);
    return true;
  }
};

// Builds a message byte by byte and sends it as a frame.
struct FrameWriter {
  uint8_t bytes[kMaxMessage + 2];
  uint8_t size;
  uint8_t run;  // where the length of the present run will stand
  uint16_t crc;

  void begin(uint8_t type) {
    size = 1;
    run = 0;
    crc = 0xFFFF;
    add8(type);
  }
  void add8(uint8_t byte) {
    crc = crc16(crc, byte);
    put(byte);
  }
  void add16(uint16_t number) {
    add8((uint8_t)number);
    add8((uint8_t)(number >> 8));
  }
  void send() {
    const uint16_t sum = crc;
    put((uint8_t)(sum >> 8));  // the most significant byte first
    put((uint8_t)sum);
    bytes[run] = (uint8_t)(size - run);
    bytes[size++] = 0;
    Serial.write(bytes, size);
  }

 private:
  void put(uint8_t byte) {
    if (byte != 0) {
      bytes[size++] = byte;
      return;
    }
    bytes[run] = (uint8_t)(size - run);
    run = size++;
  }
};

#endif
