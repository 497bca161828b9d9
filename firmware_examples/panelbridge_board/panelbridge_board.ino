// panelbridge board: reads switches and drives lamps for a home-cockpit panel. For simulation only.
//
// Flash it once. It knows nothing of your panel: the computer tells it which pin is what whenever a
// session begins, so you never have to come back here when you change a wire.
//
//   * Boards: Uno, Nano, Mega 2560, Leonardo, Micro.
//   * In the environment: choose your board and port, then upload. No library is needed.
//   * UNPLUG THE BOARD before you change a wire. Every LED needs a resistor of its own.
//
// While the board waits for the computer it says hello twice a second: the lamp TX beside the USB
// socket blinks so. When a session runs, TX flickers about ten times a second or more.
//
// The files in src/ are the program itself; src/hal.h says what another kind of board would need.

#include "src/avr_layer.h"
#include "src/board.h"

// 250000 and 500000 bit/s are exact on these boards. 115200 is 2.1 % off: it works mostly, and not
// always. Write the same number in the panel file (baud).
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
