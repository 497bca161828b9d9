// What the core asks of a board: plain functions, one set of them for each kind of machine.
//
// The core (every file here but the layers) calls nothing else. A layer is one file that defines
// these functions: avr_layer.cpp for the AVR boards, and one for the computer in the tests.
#ifndef PANELBRIDGE_HAL_H
#define PANELBRIDGE_HAL_H

#include <stdint.h>

struct Hal {
  // Microseconds since the start; goes on from 2^32 - 1 to 0.
  static uint32_t micros();
  // Waits; for pull-ups to lift their wires.
  static void pause(uint16_t us);

  // An input without pull-up: nothing is driven. Ends dimming, tone and pulses on the pin.
  static void letGo(uint8_t pin);
  static void pullUp(uint8_t pin);
  static bool read(uint8_t pin);

  // Makes the pin an output; its level is set before it drives, so that it never flashes.
  static void write(uint8_t pin, bool high);

  // Makes the pin an output that is high for share / 255 of the time. `rest` is the level to
  // set before it drives.
  static void dim(uint8_t pin, uint8_t share, bool rest);

  // 0 to kCounts of board_kind.h. May take some hundred microseconds.
  static uint16_t analogue(uint8_t pin);

  // A square wave on an output pin; hz = 0 makes it silent and low. 31 to 10000 Hz.
  static void tone(uint8_t pin, uint16_t hz);

  // A pulse each 20 ms on an output pin; 0 = no pulse, the pin is low. At most 10000 us.
  static void servo(uint8_t pin, uint16_t pulse_us);

  // Eight bits of a chain of shift registers, most significant first. The clock rests low.
  static uint8_t chainRead(uint8_t data, uint8_t clock);
  static void chainWrite(uint8_t data, uint8_t clock, uint8_t bits);

  // The serial line; neither function waits. serialRead gives -1 when there is nothing.
  static int16_t serialRead();
  static uint8_t serialRoom();
  static void serialWrite(uint8_t byte);
  // A frame is complete: what has been written should not wait for more.
  static void serialPush();

  // Another number after each reset.
  static uint16_t nextBootId();
};

#endif
