# panelbridge board on a Pico-class board, in MicroPython. For simulation only.
#
# Copy all files of this folder to the board; the program starts when the board has power.
# PROTOCOL.md describes what it sends and receives. UNPLUG THE BOARD before you change a wire.
#
# It was tested only in MicroPython on a computer, with simulated hardware; never on a real board.
#
# To reach the board's files again, plug it in (or reset it) and press BOOTSEL within the first
# second, while the on-board LED is lit. (Pressed earlier, BOOTSEL starts the boot loader.)

import gc
import sys
import time

NAME = sys.implementation.name
VERSION = tuple(sys.implementation.version[:3])
LEAST = (1, 24, 0)  # the first for RP2350; the program was not written for older ones
BOOTSEL_WAIT_MS = 1000


def complaint():
    # What is wrong with this MicroPython, or None.
    if NAME == "micropython" and VERSION >= LEAST:
        return None
    return (
        "panelbridge: this board runs {} {}.{}.{}, and the program needs MicroPython {}.{} or "
        "newer. Copy a newer .uf2 file to the board, then the program's files again."
    ).format(NAME, *VERSION, *LEAST[:2])


def run():
    said = complaint()
    while said:  # again and again, for whoever opens the port; Ctrl-C ends it
        print(said)
        time.sleep(1)
    # Only now: an older MicroPython may not be able to load the other files.
    import hardware
    from board import Board

    hardware.start()
    gc.threshold(20000)  # collect often, so that no pause is long
    board = Board()
    board.start()
    begun = hardware.ticks_ms()
    while hardware.ticks_diff(hardware.ticks_ms(), begun) < BOOTSEL_WAIT_MS:
        board.poll()
        hardware.feed_watchdog()
        if hardware.bootsel_pressed():
            board.stop()
            hardware.stop()
            return
    hardware.start_watchdog()
    while True:
        board.poll()
        hardware.feed_watchdog()


if __name__ == "__main__":
    run()
