// The core as a board whose clock the test sets, over standard input and output.
//
//   run US             run for this time; answers with a line per event, then "= now"
//   rx HEX             bytes from the host
//   in PIN 0|1|z       connect a pin to ground, to the supply, or to nothing
//   adc PIN COUNTS
//   chain in|out DATA CLOCK LATCH CHIPS   74HC165 or 74HC595 chips on these pins
//   bit DATA BIT 0|1   level at an input of a chain
//   step US            time between two passes of the program's loop
//   room BYTES         bytes that the serial line takes per pass
//   clock US           set the board's clock, before a reset
//   reset
//
//   tx TIME HEX        bytes to the host
//   o TIME PIN STATE   a pin is: free, pullup, level L, dimmed SHARE, tone HZ, servo US
//   o TIME DATA chips HEX   outputs of a chain, the nearest chip first
#include <cstdio>
#include <cstring>
#include <new>

#include "board.h"
#include "hal.h"
#include "native_layer.h"

namespace {

alignas(Board) unsigned char memory[sizeof(Board)];
Board* board;
uint32_t step_us = 250;

// A reset as on the chip: the program's memory is initialised again, the wires stay.
void boot() {
  for (int pin = 0; pin < kPins; ++pin) {
    if (world.pins[pin].mode != NativePin::Mode::kFree) Hal::letGo(static_cast<uint8_t>(pin));
  }
  world.to_board.clear();
  board = new (memory) Board();
  board->start();
}

void report() {
  if (!world.from_board.empty()) {
    std::printf("tx %u ", world.now_us);
    for (const uint8_t byte : world.from_board) std::printf("%02x", byte);
    std::printf("\n");
    world.from_board.clear();
  }
  for (const std::string& change : world.changes) std::printf("o %s\n", change.c_str());
  world.changes.clear();
}

void run(uint32_t us) {
  const uint32_t end_us = world.now_us + us;
  for (;;) {
    const uint32_t left_us = end_us - world.now_us;
    if (left_us == 0 || left_us > us) break;
    world.now_us += left_us < step_us ? left_us : step_us;
    board->poll();
    report();
  }
  report();
  std::printf("= %u\n", world.now_us);
}

void setBit(unsigned data, unsigned bit, bool high) {
  for (chain_t& chain : world.chains) {
    if (chain.data != static_cast<int>(data) || bit >= 8U * static_cast<unsigned>(chain.chips)) {
      continue;
    }
    chain_input(&chain, static_cast<int>(bit), high);
    world.pins[data].wire = chain_output(&chain) ? Wire::kHigh : Wire::kLow;
  }
}

void receive(const char* hex) {
  unsigned byte = 0;
  for (; std::sscanf(hex, "%2x", &byte) == 1 && std::strlen(hex) >= 2; hex += 2) {
    world.to_board.push_back(static_cast<uint8_t>(byte));
  }
}

}  // namespace

int main() {
  static char line[70000];
  boot();
  while (std::fgets(line, sizeof line, stdin) != nullptr) {
    unsigned number = 0;
    unsigned pin = 0;
    unsigned clock = 0;
    unsigned latch = 0;
    char state = 0;
    char way[4] = "";
    if (std::sscanf(line, "run %u", &number) == 1) {
      run(number);
      std::fflush(stdout);
    } else if (std::strncmp(line, "rx ", 3) == 0) {
      receive(line + 3);
    } else if (std::sscanf(line, "in %u %c", &pin, &state) == 2 && pin < kPins) {
      world.pins[pin].wire = state == 'z' ? Wire::kOpen : state == '0' ? Wire::kLow : Wire::kHigh;
    } else if (std::sscanf(line, "adc %u %u", &pin, &number) == 2 && pin < kPins) {
      world.pins[pin].counts = static_cast<uint16_t>(number);
    } else if (std::sscanf(line, "step %u", &number) == 1 && number != 0) {
      step_us = number;
    } else if (std::sscanf(line, "room %u", &number) == 1) {
      world.room = static_cast<int>(number);
    } else if (std::sscanf(line, "chain %3s %u %u %u %u", way, &pin, &clock, &latch, &number) ==
                   5 &&
               pin < kPins && number <= MAX_CHAIN) {
      world.chains.push_back(chain_make(std::strcmp(way, "out") == 0, static_cast<int>(pin),
                                        static_cast<int>(clock), static_cast<int>(latch),
                                        static_cast<int>(number)));
    } else if (std::sscanf(line, "bit %u %u %u", &pin, &number, &clock) == 3 && pin < kPins) {
      setBit(pin, number, clock != 0);
    } else if (std::sscanf(line, "clock %u", &number) == 1) {
      world.now_us = number;
    } else if (std::strncmp(line, "reset", 5) == 0) {
      boot();
    } else {
      std::fprintf(stderr, "unknown command: %s", line);
      return 1;
    }
  }
  return 0;
}
