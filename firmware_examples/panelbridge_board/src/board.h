// The board's program: its dialogue with the host. PROTOCOL.md, section 4.
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

  // Call once after a reset: makes every pin an input and sends HELLO.
  void start();
  // Call as often as possible, at least every 250 us. Never blocks.
  void poll();
  // Whether the loop may sleep until the next interrupt.
  bool mayRest() const { return !capture_.watching() && next_contact_ == nullptr; }

 private:
  void passTime();
  void receive();
  void send();
  uint16_t sinceReport() const { return static_cast<uint16_t>(ms16() - reported_ms_); }
  uint16_t ms16() const { return static_cast<uint16_t>(now_ms_); }
  // Time since an instant less than 65 ms ago.
  uint16_t since(uint16_t us) const {
    return static_cast<uint16_t>(static_cast<uint16_t>(now_us_) - us);
  }
  void scan();
  void keepTime();

  void dispatch();
  bool lengthFits(uint8_t type, uint8_t length) const;
  void answer(uint8_t type, uint8_t index, uint8_t status);
  void commit();
  void command();
  void acknowledge(uint16_t next);
  void capture();
  void endSession();

  void turn(uint8_t edges);
  bool rawContact(const Slot& slot) const;
  Slot* contactAt(uint8_t place);
  // Called for each byte: a call that only finds nothing to do would cost 4 us on an 8-bit CPU.
  __attribute__((always_inline)) void watch() {
    if (capture_.watching()) sampleWatched();
  }
  __attribute__((noinline)) void sampleWatched();
  void readContacts();
  void settle();
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
  uint16_t scanned_us_ = 0;
  uint32_t ms_begun_us_ = 0;
  uint32_t now_ms_ = 0;
  uint16_t hello_ms_ = 0;         // when HELLO was last due
  uint32_t host_heard_ms_ = 0;    // last valid COMMAND
  uint16_t reported_ms_ = 0;      // last REPORT, at first the commit
  uint16_t analogues_ms_ = 0;     // when the present scan of analogue inputs began
  uint16_t chains_us_ = 0;        // when the chains were last read
  uint16_t boot_id_ = 0;
  uint16_t report_sequence_ = 0;
  uint16_t command_sequence_ = 0;
  // The next contact of the present round; null between two rounds.
  Slot* next_contact_ = nullptr;
  uint8_t next_place_ = 0;
  // The debounced state of the contacts before the edges in the queue.
  uint8_t closed_[(board_kind::kMaxItems + 7) / 8];
  bool noisy_ = false;
  bool noisy_in_round_ = false;
  Slot* next_analogue_ = nullptr;  // of the present scan
  Slot* watched_ = nullptr;        // the contact being captured
  bool active_ = false;
  bool settling_ = false;   // the contacts have not been quiet yet: no REPORT
  bool commanded_ = false;  // this session has had a valid COMMAND
  bool host_silent_ = false;
  bool analogue_changed_ = false;
  // Messages that wait until the line is free, and their contents.
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
