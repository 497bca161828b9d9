# panelbridge board on a Pico-class board, in MicroPython. For simulation only.
#
# Copy all files of this folder to the board; it begins by itself when it has power. What it says
# and hears stands in PROTOCOL.md. UNPLUG THE BOARD before you change a wire.
#
# It was tested on a computer's MicroPython only, with other hardware underneath, and never on a
# real board.
#
# To come to the board's files again: plug it in and press BOOTSEL within the first second, while
# the lamp on the board is lit (pressed before, it would start the boot loader).

import gc

import hardware
from board import Board


def run():
    if hardware.held_back():
        return
    hardware.start()
    gc.threshold(20000)  # small and often: no long pause
    board = Board()
    board.start()
    while True:
        board.poll()
        hardware.feed_watchdog()


if __name__ == "__main__":
    run()
