// The core under random bytes, contacts and times: fuzz SEED ROUNDS.
//
// Half of the input is noise, half comes from a host that knows the protocol, so that noise hits
// active sessions too. The sanitizers watch the core. Checked after each pass: the board has sent
// whole frames of known messages, a REPORT has the length of the accepted set-up, no reserved pin
// is used, and after RELEASE nothing is driven.
#include <cstdio>
#include <cstdlib>
#include <new>
#include <random>
#include <vector>

#include "board.h"
#include "frames.h"
#include "hal.h"
#include "native_layer.h"

namespace {

using Bytes = std::vector<uint8_t>;

std::mt19937 dice;
unsigned seed;
unsigned round_number;

unsigned roll(unsigned below) { return static_cast<unsigned>(dice() % below); }

void check(bool good, const char* what) {
  if (good) return;
  std::fprintf(stderr, "seed %u, round %u: %s\n", seed, round_number, what);
  std::abort();
}

Bytes frameOf(const Bytes& message) {
  Bytes whole = message;
  uint16_t crc = kCrcStart;
  for (const uint8_t byte : message) crc = crcNext(crc, byte);
  whole.push_back(static_cast<uint8_t>(crc >> 8));
  whole.push_back(static_cast<uint8_t>(crc));
  Bytes frame(1, 1);
  size_t code = 0;
  for (const uint8_t byte : whole) {
    if (byte != 0) {
      frame.push_back(byte);
      ++frame[code];
    } else {
      code = frame.size();
      frame.push_back(1);
    }
  }
  frame.push_back(0);
  return frame;
}

void send(const Bytes& bytes) {
  world.to_board.insert(world.to_board.end(), bytes.begin(), bytes.end());
}

// What the host knows of the board: the accepted items, and whether the set-up is active.
struct Model {
  Bytes items;  // bodies
  Bytes asked;  // the item without an answer so far
  Bytes plan;   // items to send again: SETUP_BEGIN must carry the checksum of what follows
  uint8_t session = 0;
  uint8_t wanted = 0;
  uint16_t sequence = 0;
  bool active = false;
  bool became_active = false;
  bool clean = true;  // all replies since SETUP_BEGIN matched what was sent
} model;

size_t countOf(uint8_t kind) {
  size_t found = 0;
  for (size_t at = 0; at < model.items.size(); at += kItemBody) found += model.items[at] == kind;
  return found;
}

size_t outputBytes() {
  return countOf(kLamp) + countOf(kTone) + 2 * countOf(kServo);
}

void put16(Bytes& bytes, unsigned number) {
  bytes.push_back(static_cast<uint8_t>(number));
  bytes.push_back(static_cast<uint8_t>(number >> 8));
}

bool isComplete() { return model.items.size() == size_t(model.wanted) * kItemBody; }

uint16_t checksumOf(const Bytes& items) {
  uint16_t crc = kCrcStart;
  for (const uint8_t byte : items) crc = crcNext(crc, byte);
  return crc;
}

Bytes begin() {
  model.session = static_cast<uint8_t>(1 + roll(255));
  if (!model.active && model.wanted != 0 && isComplete()) {
    model.plan = model.items;
  } else {
    model.plan.clear();
    model.wanted = static_cast<uint8_t>(roll(board_kind::kMaxItems + 3));
    if (roll(3) != 0) model.wanted = static_cast<uint8_t>(roll(12));
  }
  model.items.clear();
  model.asked.clear();
  model.active = false;
  model.clean = true;
  model.sequence = 0;
  Bytes message = {kSetupBegin, model.session, model.wanted};
  put16(message, checksumOf(model.plan));
  put16(message, 1 + roll(2000));
  put16(message, 1 + roll(300));
  return message;
}

Bytes item() {
  Bytes message = {kSetupItem, static_cast<uint8_t>(model.items.size() / kItemBody)};
  if (model.items.size() < model.plan.size()) {
    const Bytes::iterator from = model.plan.begin() + static_cast<long>(model.items.size());
    model.asked.assign(from, from + kItemBody);
    message.insert(message.end(), model.asked.begin(), model.asked.end());
    return message;
  }
  static const uint8_t kinds[] = {kContact, kContact, kAnalogue, kLamp,     kTone,
                                  kServo,   kLamp,    kChainIn,  kChainOut, 0x77};
  const uint8_t kind = kinds[roll(sizeof kinds)];
  Bytes body = {kind, static_cast<uint8_t>(roll(4) == 0 ? roll(256) : roll(70)), 0};
  body[2] = static_cast<uint8_t>(roll(8) == 0 ? roll(256) : 0);
  if (kind == kContact && body[2] == 0) body[2] = static_cast<uint8_t>(roll(4) | roll(2) << 3);
  const unsigned wild = roll(10);
  const bool chain = kind == kChainIn || kind == kChainOut;
  put16(body, wild == 0 ? roll(65536)
                        : kind == kTone || kind == kServo ? 500 + roll(2000)
                                                          : chain ? roll(70) : 1 + roll(255));
  put16(body, kind == kTone || kind == kServo ? 1 + roll(500) : chain ? roll(70) : wild == 1);
  put16(body, kind == kTone || kind == kServo ? 2500 : chain ? 1 + roll(4) : wild == 2);
  model.asked = body;
  message.insert(message.end(), body.begin(), body.end());
  return message;
}

Bytes commit() {
  Bytes message = {kSetupCommit};
  put16(message, checksumOf(model.items));
  return message;
}

Bytes command() {
  Bytes message = {kCommand, model.session};
  model.sequence = static_cast<uint16_t>(model.sequence + roll(3));
  put16(message, model.sequence);
  put16(message, roll(40));
  const size_t length = outputBytes() + (roll(10) == 0);
  for (size_t at = 0; at < length; ++at) {
    message.push_back(static_cast<uint8_t>(roll(4) == 0 ? roll(256) : roll(3)));
  }
  return message;
}

Bytes knowing() {
  if (!model.active && isComplete() && roll(2) == 0) {
    return model.plan.empty() ? begin() : commit();
  }
  switch (roll(model.active ? 40 : 12)) {
    case 0:
      return begin();
    case 1:
      return {kHelloRequest, 1};
    case 2:
      return commit();
    case 3:
      return roll(20) == 0 ? Bytes{kRelease} : item();
    case 5:
      return {kCapture, model.session, static_cast<uint8_t>(roll(10)), 20, 0};
    case 6:
      return {kCapture, model.session, 255, 1, 0};
    default:
      return model.active ? command() : item();
  }
}

void sendSomething() {
  Bytes message = knowing();
  if (message[0] == kRelease) model.active = false;
  Bytes frame = frameOf(message);
  if (roll(6) == 0) {  // damaged on the line; the next frame is clean
    frame[roll(static_cast<unsigned>(frame.size()))] ^= static_cast<uint8_t>(1 << roll(8));
    frame.push_back(0);
    model.clean = model.clean && message[0] != kSetupBegin && message[0] != kSetupItem;
  } else if (roll(40) == 0) {
    model.clean = false;
    frame.clear();
    for (unsigned left = roll(300); left != 0; --left) {
      frame.push_back(static_cast<uint8_t>(roll(256)));
    }
    frame.push_back(0);
  } else if (roll(40) == 0 && message.size() > 1) {  // correct CRC, wrong contents
    model.clean = false;
    message[1 + roll(static_cast<unsigned>(message.size() - 1))] = static_cast<uint8_t>(roll(256));
    if (roll(2) == 0) message.push_back(0);
    frame = frameOf(message);
  }
  send(frame);
}

void heard(const uint8_t* message, uint8_t length) {
  switch (message[0]) {
    case kHello:
      check(length == 10, "a HELLO of another length");
      return;
    case kSetupReply:
      check(length == 7, "a SETUP_REPLY of another length");
      check(message[4] <= kReportTooLong, "an unknown status");
      if (message[4] != kOk || message[2] == kSetupBegin) return;
      if (message[2] == kSetupItem) {
        model.items.insert(model.items.end(), model.asked.begin(), model.asked.end());
        model.asked.clear();
      } else {
        model.active = model.became_active = true;
      }
      // The host does not wait for each reply, so this one may be for another item.
      if (read16(message + 5) != checksumOf(model.items)) model.clean = false;
      return;
    case kReport: {
      check(length >= 11 && message[10] <= kMaxEdges, "a REPORT that cannot be");
      if (!model.clean || message[1] != model.session || !model.active) return;
      const size_t contacts = countOf(kContact);
      const size_t head = 11 + (contacts + 7) / 8 + 2 * countOf(kAnalogue);
      check(length == head + message[10], "a REPORT of another length than the set-up's");
      for (size_t at = head; at < length; ++at) {
        check((message[at] & 0x7F) < contacts, "an edge of no contact");
      }
      return;
    }
    case kCaptured:
      check(length >= 8 && (length - 8) % 3 == 0 && length <= 8 + 3 * kMaxCaptureTimes,
            "a CAPTURED that cannot be");
      return;
    default:
      check(false, "a message that does not exist");
  }
}

void listen(FrameReader& reader) {
  for (const uint8_t byte : world.from_board) {
    if (reader.take(byte)) heard(reader.message(), reader.length());
    check(reader.bad() == 0, "a frame that cannot be read");
  }
  world.from_board.clear();
  world.changes.clear();
  for (int pin = 0; pin < kPins; ++pin) {
    const bool ours = pin < kFirstChainPin && board_kind::exists(static_cast<uint8_t>(pin));
    const bool free = world.pins[pin].mode == NativePin::Mode::kFree;
    check(ours || free, "a pin that is not the builder's");
  }
}

void turn(Board& board, FrameReader& reader, unsigned us) {
  world.now_us += us;
  board.poll();
  listen(reader);
}

void live() {
  world = NativeWorld();
  world.now_us = static_cast<uint32_t>(dice());  // also just before the clock wraps
  model = Model();
  alignas(Board) static unsigned char memory[sizeof(Board)];
  Board& board = *new (memory) Board();
  FrameReader reader;
  board.start();
  for (int step = 0; step < 800; ++step) {
    if (roll(2) == 0) sendSomething();
    if (roll(4) == 0) {
      NativePin& pin = world.pins[roll(70)];
      pin.wire = roll(2) == 0 ? Wire::kLow : Wire::kOpen;
      pin.counts = static_cast<uint16_t>(roll(1024));
    }
    if (roll(30) == 0) world.room = static_cast<int>(roll(65));
    turn(board, reader, roll(50) == 0 ? roll(3000000) : roll(1500));
  }
  world.room = 64;
  send({0});
  send(frameOf({kRelease}));
  for (int left = 400; left != 0; --left) turn(board, reader, 250);
  for (const NativePin& pin : world.pins) {
    check(pin.mode == NativePin::Mode::kFree, "something is driven after RELEASE");
  }
}

}  // namespace

int main(int count, char** words) {
  seed = count > 1 ? static_cast<unsigned>(std::atol(words[1])) : 1;
  const unsigned rounds = count > 2 ? static_cast<unsigned>(std::atol(words[2])) : 100;
  unsigned active = 0;
  for (round_number = 0; round_number < rounds; ++round_number) {
    dice.seed(seed + 1000003U * round_number);
    live();
    active += model.became_active;
  }
  std::printf("%u rounds, %u with a set-up\n", rounds, active);
  return 0;
}
