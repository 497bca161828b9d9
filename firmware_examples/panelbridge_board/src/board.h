// The board's program: its dialogue with the host, from one reset to the next. PROTOCOL.md, 4.
#ifndef PANELBRIDGE_BOARD_H
#define PANELBRIDGE_BOARD_H

#include <stdint.h>

#include "capture.h"
#include "chains.h"
#include "edge_queue.h"
#include "frames.h"
#include "outputs.h"
#include "setup_book.h"

class Board {
 public:
  Board() : outputs_(book_, chains_) {}

  // Once after the reset: every pin is let go, HELLO is sent.
  void start();
  // As often as can be; a quarter of a millisecond between two calls is fine. Never waits.
  void poll();
  // Nothing is gained by calling poll again before something has happened.
  bool mayRest() const { return !capture_.watching(); }

 private:
  void passTime();
  void listen();
  void speak();
  void scan();

  void dispatch();
  bool lengthFits(uint8_t type, uint8_t length) const;
  void answer(uint8_t type, uint8_t index, uint8_t status);
  void commit();
  void command();
  void capture();
  void endSession();

  bool rawContact(const Slot& slot) const;
  Slot* contactAt(uint8_t place);
  void watch();
  void readContacts();
  void readAnalogue();
  void writeHello();
  void writeReply();
  void writeReport();

  SetupBook book_;
  Chains chains_;
  Outputs outputs_;
  EdgeQueue edges_;
  Capture capture_;
  FrameReader reader_;
  FrameWriter writer_;

  uint32_t now_us_ = 0;
  uint32_t scanned_us_ = 0;
  uint32_t ms_begun_us_ = 0;
  uint32_t now_ms_ = 0;
  uint32_t hello_ms_ = 0;         // when HELLO was due last
  uint32_t host_heard_ms_ = 0;    // last COMMAND taken
  uint32_t reported_ms_ = 0;      // last REPORT
  uint32_t analogues_ms_ = 0;     // when the round of analogue inputs began
  uint32_t chains_ms_ = 0;        // when chains were read last
  uint16_t boot_id_ = 0;
  uint16_t report_sequence_ = 0;
  uint16_t command_sequence_ = 0;
  Slot* next_analogue_ = nullptr;  // of the round that is on
  Slot* watched_ = nullptr;        // by the capture
  bool in_force_ = false;
  bool commanded_ = false;  // a COMMAND of this session has been taken
  bool host_silent_ = false;
  bool analogue_changed_ = false;
  // What waits until the line is free, with what it will say.
  bool has_message_ = false;
  bool hello_waits_ = false;
  bool report_waits_ = false;
  bool reply_waits_ = false;
  bool captured_waits_ = false;  // the answer to a CAPTURE
  uint8_t captured_contact_ = 0;
  uint8_t reply_[4] = {0, 0, 0, 0};  // session, answers, index, status
  uint16_t reply_checksum_ = 0;
};

#endif
