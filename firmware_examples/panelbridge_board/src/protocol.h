// The numbers of the protocol, from PROTOCOL.md.
#ifndef PANELBRIDGE_PROTOCOL_H
#define PANELBRIDGE_PROTOCOL_H

#include <stdint.h>

constexpr uint8_t kProtocolVersion = 1;
constexpr uint8_t kFirmwareMajor = 1;
constexpr uint8_t kFirmwareMinor = 0;

constexpr uint8_t kMaxMessage = 120;  // with its CRC
constexpr uint8_t kMaxEncoded = 121;  // without the final zero
constexpr uint8_t kCommandHead = 6;   // bytes of a COMMAND before its values
constexpr uint8_t kMaxEdges = 16;     // in one REPORT
constexpr uint8_t kEdgeQueue = 32;
constexpr uint8_t kMaxChains = 4;
constexpr uint8_t kMaxChips = 16;
constexpr uint8_t kFirstChainPin = 128;
constexpr uint8_t kMaxCaptureTimes = 32;
constexpr uint16_t kMaxCaptureWindowMs = 1000;
constexpr uint16_t kLongestDebounceMs = 500;
constexpr uint16_t kMaxTonesHz = 8000;  // of two tones together

constexpr uint16_t kHelloEachMs = 500;
constexpr uint8_t kEdgeRepeatMs = 40;
constexpr uint8_t kAnswerGapMs = 20;
constexpr uint8_t kSettleLeastMs = 10;
constexpr uint16_t kSettleMostMs = 600;

enum BoardCode : uint8_t { kUno = 1, kNano, kMega2560, kLeonardo, kMicro };

enum MessageType : uint8_t {
  kHelloRequest = 0x01,
  kSetupBegin = 0x02,
  kSetupItem = 0x03,
  kSetupCommit = 0x04,
  kCommand = 0x05,
  kRelease = 0x06,
  kCapture = 0x07,
  kHello = 0x81,
  kSetupReply = 0x82,
  kReport = 0x83,
  kCaptured = 0x84
};

enum ItemKind : uint8_t {
  kContact = 0x01,
  kAnalogue = 0x02,
  kLamp = 0x10,
  kTone = 0x11,
  kServo = 0x12,
  kChainIn = 0x20,
  kChainOut = 0x21
};

enum ItemFlag : uint8_t { kPullUp = 0x01, kActiveLow = 0x02, kPwm = 0x04, kHoldAfterEdge = 0x08 };

enum Status : uint8_t {
  kOk = 0,
  kBadChecksum,
  kBadOrder,
  kTooManyItems,
  kUnknownKind,
  kNoSuchPin,
  kPinInUse,
  kPinCannot,
  kBadValue,
  kReportTooLong
};

enum ReportFlag : uint8_t { kHostSilent = 0x01, kEdgesLost = 0x02, kNoisyContact = 0x04 };

enum ToneOrder : uint8_t { kSilent = 0, kIntermittent, kContinuous };

// 1 << (number % 8), without the loop that an 8-bit CPU needs for a variable shift.
constexpr uint8_t kBitMasks[] = {0x01, 0x02, 0x04, 0x08, 0x10, 0x20, 0x40, 0x80};
inline uint8_t bitMask(uint8_t number) { return kBitMasks[number & 7]; }

inline uint16_t read16(const uint8_t* at) {
  return static_cast<uint16_t>(at[0] | static_cast<uint16_t>(at[1]) << 8);
}

#endif
