# Runs the board's main.py as if this MicroPython were older. There is no `machine` module here, so
# loading hardware.py would fail.

import sys

import main

sleeps = 0


class Time:
    @staticmethod
    def sleep(seconds):
        global sleeps
        sleeps += 1
        if sleeps == 2:
            sys.exit()


main.time = Time
main.VERSION = (1, 23, 9)
main.run()
