// Raw capture: records when one contact changes, to measure how long it bounces.
#ifndef PANELBRIDGE_CAPTURE_H
#define PANELBRIDGE_CAPTURE_H

#include <stdint.h>

#include "frames.h"
#include "protocol.h"

class Capture {
 public:
  void begin(uint8_t contact, uint16_t window_ms, bool raw, uint32_t now_us);
  void stop() { watching_ = false; }
  // Call as often as possible while watching.
  void sample(bool raw, uint32_t now_us);

  bool watching() const { return watching_; }
  // Whether the window has ended, so that CAPTURED is due.
  bool isDone(uint32_t now_us) const { return watching_ && isOver(now_us); }
  void write(FrameWriter& writer, uint8_t session) const;
  static void writeEmpty(FrameWriter& writer, uint8_t session, uint8_t contact);

 private:
  bool isOver(uint32_t now_us) const {
    return changes_ != 0 && now_us - first_us_ >= window_ms_ * 1000UL;
  }
  static void writeHead(FrameWriter& writer, uint8_t session, uint8_t contact, bool first_closed,
                        uint16_t changes, uint16_t resolution_us);

  uint8_t times_[3 * kMaxCaptureTimes];
  uint32_t first_us_ = 0;
  uint32_t looked_us_ = 0;
  uint16_t window_ms_ = 0;
  uint16_t changes_ = 0;
  uint16_t resolution_us_ = 0;
  uint8_t contact_ = 0;
  bool watching_ = false;
  bool raw_ = false;
  bool first_closed_ = false;
};

#endif
