// The queue of edges that the host has not acknowledged, numbered modulo 65536.
#ifndef PANELBRIDGE_EDGE_QUEUE_H
#define PANELBRIDGE_EDGE_QUEUE_H

#include <stdint.h>

#include "board_kind.h"
#include "protocol.h"

class EdgeQueue {
 public:
  void clear() {
    count_ = start_ = sent_ = 0;
    first_ = 0;
    lost_ = false;
  }

  // It holds one edge of each contact, and kEdgeQueue at least.
  bool full(uint8_t contacts) const { return count_ >= kEdgeQueue && count_ >= contacts; }
  // Loses the oldest edge.
  void lose() {
    drop(1);
    lost_ = true;
  }
  void add(uint8_t contact, bool closed) {
    edges_[(start_ + count_) % kRoom] = static_cast<uint8_t>(contact | (closed ? 0x80 : 0));
    ++count_;
  }

  // How many edges are before `next`; 0 if that is out of range.
  uint8_t before(uint16_t next) const {
    const uint16_t number = static_cast<uint16_t>(next - first_);
    return number > count_ ? 0 : static_cast<uint8_t>(number);
  }
  // Drops the oldest `number` edges, at least one.
  void acknowledge(uint8_t number) {
    drop(number);
    lost_ = false;
  }

  // The oldest `number` edges are in a REPORT.
  void markSent(uint8_t number) {
    if (number > sent_) sent_ = number;
  }
  bool anyUnsent() const { return sent_ < count_; }

  uint8_t count() const { return count_; }
  uint16_t first() const { return first_; }
  bool lost() const { return lost_; }
  // Oldest first.
  uint8_t at(uint8_t place) const { return edges_[(start_ + place) % kRoom]; }

 private:
  void drop(uint8_t number) {
    start_ = static_cast<uint8_t>((start_ + number) % kRoom);
    count_ = static_cast<uint8_t>(count_ - number);
    sent_ = sent_ > number ? static_cast<uint8_t>(sent_ - number) : 0;
    first_ = static_cast<uint16_t>(first_ + number);
  }

  // A power of two, for an 8-bit CPU without division.
  static constexpr uint8_t kRoom = board_kind::kMaxItems > kEdgeQueue ? 128 : kEdgeQueue;
  static_assert(board_kind::kMaxItems <= kRoom, "an edge of each contact must fit");

  uint8_t edges_[kRoom];
  uint8_t sent_ = 0;
  uint8_t start_ = 0;
  uint8_t count_ = 0;
  uint16_t first_ = 0;
  bool lost_ = false;
};

#endif
