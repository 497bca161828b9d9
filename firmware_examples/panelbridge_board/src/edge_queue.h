// The queue of edges that the host has not acknowledged, numbered modulo 65536.
#ifndef PANELBRIDGE_EDGE_QUEUE_H
#define PANELBRIDGE_EDGE_QUEUE_H

#include <stdint.h>

#include "protocol.h"

class EdgeQueue {
 public:
  void clear() {
    count_ = start_ = 0;
    first_ = 0;
    lost_ = false;
  }

  // If the queue is full, its oldest edge is dropped.
  void add(uint8_t contact, bool closed) {
    if (count_ == kEdgeQueue) {
      drop(1);
      lost_ = true;
    }
    edges_[(start_ + count_) % kEdgeQueue] = static_cast<uint8_t>(contact | (closed ? 0x80 : 0));
    ++count_;
  }

  // Drops the edges before `next`; a number out of range is ignored.
  void acknowledge(uint16_t next) {
    const uint16_t known = static_cast<uint16_t>(next - first_);
    if (known == 0 || known > count_) return;
    drop(static_cast<uint8_t>(known));
    lost_ = false;
  }

  uint8_t count() const { return count_; }
  uint16_t first() const { return first_; }
  bool lost() const { return lost_; }
  // Oldest first.
  uint8_t at(uint8_t place) const { return edges_[(start_ + place) % kEdgeQueue]; }

 private:
  void drop(uint8_t number) {
    start_ = static_cast<uint8_t>((start_ + number) % kEdgeQueue);
    count_ = static_cast<uint8_t>(count_ - number);
    first_ = static_cast<uint16_t>(first_ + number);
  }

  uint8_t edges_[kEdgeQueue];
  uint8_t start_ = 0;
  uint8_t count_ = 0;
  uint16_t first_ = 0;
  bool lost_ = false;
};

#endif
