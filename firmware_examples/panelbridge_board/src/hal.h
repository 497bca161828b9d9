// The hardware abstraction layer: the functions that the core needs from a board.
//
// The core (every file here except the layers) calls nothing else. A layer defines these functions:
// avr_layer.cpp for AVR boards; the tests have one for the computer.
#ifndef PANELBRIDGE_HAL_H
#define PANELBRIDGE_HAL_H

#include <stdint.h>

struct Hal {
  // Microseconds since the start; wraps from 2^32 - 1 to 0.
  static uint32_t micros();

  // Makes the pin an input without pull-up; stops PWM, tone and pulses on it.
  static void letGo(uint8_t pin);
  static void pullUp(uint8_t pin);
  static bool read(uint8_t pin);

  // Makes the pin an output. Sets the level before the pin drives, so that a lamp never flashes.
  static void write(uint8_t pin, bool high);

  // Makes the pin a PWM output, high for share / 255 of the time. `rest` is the level to set before
  // the pin drives.
  static void dim(uint8_t pin, uint8_t share, bool rest);

  // 0 to kCounts of board_kind.h. May take a few hundred microseconds.
  static uint16_t analogue(uint8_t pin);

  // A square wave on an output pin, 31 to 10000 Hz; hz = 0: silent, the pin is low.
  static void tone(uint8_t pin, uint16_t hz);

  // A pulse every 20 ms on an output pin, at most 10000 us; 0: no pulse, the pin is low.
  static void servo(uint8_t pin, uint16_t pulse_us);

  // Shifts the chips of a chain of shift registers, each most significant bit first: all of them in,
  // from the first on, or out, the last one first. The clock idles low.
  static void chainRead(uint8_t data, uint8_t clock, uint8_t* chips, uint8_t number);
  static void chainWrite(uint8_t data, uint8_t clock, const uint8_t* chips, uint8_t number);

  // The serial line; no function blocks. serialRead returns -1 when no byte has arrived.
  static int16_t serialRead();
  static uint8_t serialRoom();
  static void serialWrite(uint8_t byte);
  // A frame is complete: send what has been written without waiting for more.
  static void serialPush();

  // A different number after each reset.
  static uint16_t nextBootId();
};

#endif
