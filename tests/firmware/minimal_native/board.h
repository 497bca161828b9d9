// The sketch as the board that ../native/native_main.cpp runs.
#ifndef BOARD_H
#define BOARD_H

#include "Arduino.h"

struct Board {
  void start() { setup(); }
  void poll() { loop(); }
};

#endif
