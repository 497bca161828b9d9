// A simulated board: the functions of hal.h on this machine.
#ifndef NATIVE_LAYER_H
#define NATIVE_LAYER_H

#include <cstdint>
#include <deque>
#include <string>
#include <vector>

#include "../chips.h"

constexpr int kPins = 256;

// What is connected to a pin from outside.
enum class Wire : uint8_t { kOpen, kLow, kHigh };

struct NativePin {
  enum class Mode : uint8_t { kFree, kPullUp, kLevel, kDimmed, kTone, kServo };
  Mode mode = Mode::kFree;
  uint16_t value = 0;  // level, share, Hz or us
  Wire wire = Wire::kOpen;
  bool floating = false;  // last level of a free pin
  uint16_t counts = 0;

  bool isHigh();
};

struct NativeWorld {
  uint32_t now_us = 0;
  uint16_t boot_id = 0;
  NativePin pins[kPins];
  std::deque<uint8_t> to_board;
  std::vector<uint8_t> from_board;
  std::vector<std::string> changes;  // of outputs, as "pin state"
  // Bytes that the serial line takes per pass; some tests make it small.
  int room = 64;
  std::vector<chain_t> chains;
};

extern NativeWorld world;

std::string describe(const NativePin& pin);

#endif
