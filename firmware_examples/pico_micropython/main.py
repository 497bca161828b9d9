# panelbridge board on a Pico-class board, in MicroPython. For simulation only.
#
# Copy all files of this folder to the board; the program starts when the board has power.
# PROTOCOL.md describes what it sends and receives. UNPLUG THE BOARD before you change a wire.
#
# It was tested only in MicroPython on a computer, with simulated hardware; never on a real board.
#
# To reach the board's files again, plug it in and press BOOTSEL within the first second, while the
# on-board LED is lit. (Pressed earlier, BOOTSEL starts the boot loader.)

import gc

import hardware
from board import Board


def run():
    if hardware.held_back():
        return
    hardware.start()
    gc.threshold(20000)  # collect often, so that no pause is long
    board = Board()
    board.start()
    while True:
        board.poll()
        hardware.feed_watchdog()


if __name__ == "__main__":
    run()
