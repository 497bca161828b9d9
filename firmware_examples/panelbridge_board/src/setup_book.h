// The set-up: items are checked one by one and become active with a commit.
#ifndef PANELBRIDGE_SETUP_BOOK_H
#define PANELBRIDGE_SETUP_BOOK_H

#include <stdint.h>

#include "board_kind.h"
#include "protocol.h"

constexpr uint8_t kItemBody = 9;

// One item. In an active set-up, unused parameters hold the item's running state:
//
//   kind      p1              p2            p3              x                   state
//   CONTACT   debounce, ticks due, tick     burst start     last change, tick   see contact.h
//   ANALOGUE  noise gate      value
//   LAMP      idle brightness value
//   TONE      Hz              on, ms        off, ms         last switch, ms     order, sounding
//   SERVO     idle pulse      shortest, us  longest, us     pulse, us
//   CHAIN_*   clock pin       latch pin     chips           first chip
struct Slot {
  uint8_t kind;
  uint8_t pin;
  uint8_t flags;
  uint8_t state;
  uint16_t p1;
  uint16_t p2;
  uint16_t p3;
  uint16_t x;

  bool has(uint8_t flag) const { return (flags & flag) != 0; }
  bool isOutput() const { return (kind & 0xF0) == 0x10; }
  bool isChain() const { return (kind & 0xF0) == 0x20; }
  bool onChain() const { return pin >= kFirstChainPin; }
};

class SetupBook {
 public:
  SetupBook() { forget(); }

  void forget();
  // Each returns a Status; the message's length has been checked.
  uint8_t begin(const uint8_t* message);
  uint8_t take(const uint8_t* message);
  uint8_t commit(uint16_t checksum) const;

  Slot* first() { return slots_; }
  Slot* last() { return slots_ + count_; }  // one past the last item
  // Every output is at or after this slot: most set-ups list their inputs first.
  Slot* firstOutput() { return slots_ + first_output_; }
  uint8_t session() const { return session_; }
  bool underWay() const { return session_ != 0; }
  uint16_t checksum() const { return crc_; }  // of the items accepted so far
  uint16_t hostTimeoutMs() const { return host_timeout_ms_; }
  uint16_t reportIntervalMs() const { return report_interval_ms_; }
  uint8_t contacts() const { return contacts_; }
  uint8_t tones() const { return tones_; }
  uint8_t analogues() const { return analogues_; }
  uint8_t commandLength() const { return static_cast<uint8_t>(kCommandHead + output_bytes_); }

 private:
  uint8_t judge(const Slot& item) const;
  uint8_t judgePins(const Slot& item) const;
  uint16_t hzOfTones() const;
  bool exists(uint16_t pin) const;
  bool inUse(uint16_t pin) const;
  bool bitCan(const Slot& item) const;
  bool isSameAsLast(const uint8_t* message) const;
  void count(Slot& item);

  Slot slots_[board_kind::kMaxItems];
  uint8_t last_[kItemBody];  // the last item as received
  uint8_t count_;
  uint8_t first_output_;
  uint8_t announced_;
  uint8_t session_;
  uint8_t contacts_;
  uint8_t analogues_;
  uint8_t output_bytes_;
  uint8_t tones_;
  uint8_t servos_;
  uint8_t chains_;
  uint8_t chips_;
  uint16_t crc_;
  uint16_t wanted_checksum_;
  uint16_t host_timeout_ms_;
  uint16_t report_interval_ms_;
};

#endif
