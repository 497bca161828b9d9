"""The simulated board on its two ports, for the contract tests."""

from __future__ import annotations

import contextlib
import itertools

import serial

from panelbridge.clock import Clock, PacedClock, VirtualClock
from panelbridge.config.boards import Board, BoardKind
from panelbridge.simboard import registry
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.serving.pty_server import PtyServer
from tests.simboard.host import Bench

_numbers = itertools.count()


class _SimBench(Bench):
    def __init__(self, board: SimBoard, clock: Clock) -> None:
        self.board = board
        self.clock = clock

    def now_s(self) -> float:
        return self.clock.now()

    def set_contact(self, pin_name: str, closed: bool) -> None:
        self.board.set_contact(self.clock.now(), pin_name, closed)

    def lamp(self, pin_name: str) -> int:
        self.settle()
        return self.board.outputs.lamps.get(pin_name, 0)

    def chip_high(self, bit_name: str) -> bool:
        self.settle()
        return self.board.chain_bit_high(bit_name)

    def sounding(self, pin_name: str) -> bool:
        self.settle()
        tone = self.board.outputs.tones.get(pin_name)
        return tone is not None and tone.sounding(self.clock.now())

    def reset(self) -> None:
        self.board.reset(self.clock.now())

    def settle(self) -> None:
        """Let what is due now happen."""


class UrlBench(_SimBench):
    """Behind ``simboard://``, in virtual time."""

    def __init__(self, kind: BoardKind | Board) -> None:
        super().__init__(SimBoard(kind), VirtualClock())
        self.name = f"contract_{next(_numbers)}"
        entry = registry.register(self.name, self.board, self.clock)
        self.port = serial.serial_for_url(entry.url, timeout=0)

    def write(self, data: bytes) -> None:
        self.port.write(data)

    def read(self) -> bytes:
        return self.port.read(self.port.in_waiting)

    def pass_time(self, seconds: float) -> None:
        self.clock.sleep_until(self.clock.now() + seconds)
        self.settle()

    def settle(self) -> None:
        assert self.port.in_waiting >= 0

    def close(self) -> None:
        self.port.close()
        registry.unregister(self.name)


class PtyBench(_SimBench):
    """On a pty, served in this very thread; a busy machine stops its time, never lets it jump."""

    def __init__(self, kind: BoardKind) -> None:
        clock = PacedClock()
        super().__init__(SimBoard(kind, now_s=clock.now()), clock)
        self.server = PtyServer(Cable(self.board), clock)
        self.port = serial.Serial(self.server.path, 250_000, timeout=0, write_timeout=1)
        self.server.step()

    def write(self, data: bytes) -> None:
        self.port.write(data)
        self.server.step()

    def read(self) -> bytes:
        return self.port.read(4096)

    def pass_time(self, seconds: float) -> None:
        end_s = self.clock.now() + seconds
        while self.clock.now() < end_s:
            self.server.step()
            self.clock.sleep_until(min(end_s, self.clock.now() + 0.001))
        self.server.step()

    def settle(self) -> None:
        self.server.step()

    def close(self) -> None:
        with contextlib.suppress(OSError):
            self.port.close()
        self.server.close()
