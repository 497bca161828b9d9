// panelbridge board: reads switches and drives lamps for a home-cockpit panel. For simulation only.
//
// Flash it once. The computer sends the use of each pin at the start of every session, so when you
// change a wire you change the panel file, not this sketch.
//
//   * Boards: Uno, Nano, Mega 2560, Leonardo, Micro.
//   * In the Arduino IDE: choose your board and port, then upload. No library is needed.
//   * UNPLUG THE BOARD before you change a wire. Every LED needs its own resistor.
//
// While the board waits for the computer it sends HELLO twice a second, and the TX LED beside the
// USB socket blinks. During a session TX flickers ten times a second or faster.
//
// The program is in src/; src/hal.h lists what another kind of board must provide.

#include "src/avr_layer.h"
#include "src/board.h"

// 250000 and 500000 bit/s are exact on these boards. 115200 is 2.1 % off and not reliable. The
// panel file must have the same number (baud).
constexpr unsigned long kBaud = 250000;

static Board board;

void setup() {
  layer::start(kBaud);
  board.start();
}

void loop() {
  board.poll();
  layer::rest(board.mayRest());
}
