# Turns of the board's loop, with its real hardware.py and a simulated `machine` and clock. What the
# computer sends comes from standard input. Writes to standard error how many bytes of the heap the
# turns took, how many REPORTs were sent, the last COMMAND, the bad frames, and how many bytes of
# stack the program used at most.
#
# run_turns.py TURNS FLIP_EACH; each FLIP_EACH turns (0 = never) every pin changes its level.

import gc
import micropython
import sys

import quiet_machine
import frames
import hardware
from board import Board

TURN_US = 200
WARM_UP_TURNS = 600  # contacts settle, and what is made once has been made

_now_us = 0


def ticks_us():
    return _now_us


def ticks_ms():
    return _now_us // 1000


def read_pins(levels):
    frames.copy(quiet_machine.Pin.levels, 30, levels, 0)


def nothing():
    return 0


def flip():
    levels = quiet_machine.Pin.levels
    at = 0
    while at < 29:
        levels[at] = 1 - levels[at]
        at += 1


def go(board, turns, flip_each):
    global _now_us
    left = flip_each
    while turns:
        turns -= 1
        _now_us += TURN_US
        board.poll()
        left -= 1
        if not left:
            left = flip_each
            flip()


hardware.ticks_us = ticks_us
hardware.ticks_ms = ticks_ms
hardware.read_pins = read_pins
if sys.argv[2] == "0":  # so a chain may read always the same
    hardware.line = lambda pin: int  # C code, as a board's pins: `pico_figures` counts bytecodes
base = micropython.stack_use()
board = Board()
board.start()
while not board._active:
    go(board, 1, 0)
receive = hardware.receive
hardware.receive = nothing
turns, flip_each = int(sys.argv[1]), int(sys.argv[2])
go(board, WARM_UP_TURNS, flip_each)
hardware.receive = receive
go(board, 1, 0)
gc.collect()
gc.disable()
before = taken = 0  # a new name may take memory
reports = board._sequence
before = gc.mem_alloc()
go(board, turns, flip_each)
taken = gc.mem_alloc() - before
figures = taken, board._sequence - reports, board._command_sequence, board._reader.bad
print(*figures, quiet_machine.deepest - base, file=sys.stderr)
