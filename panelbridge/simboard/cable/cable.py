"""The cable between host and simulated board: faults both ways, unplugging and plugging in."""

from __future__ import annotations

from math import inf

from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.line_faults import LineFaults

INPUT_BUFFER = 65536
"""Most bytes kept for the host, as in an operating system's buffer; the rest is lost."""


class Cable:
    """A board on a cable. Safe to use from several threads.

    Unplugging also removes the board's power, as on USB: plugged in again, the board restarts.

    Args:
        board: the board at the far end.
        faults: what the line does to the bytes; None = nothing.
    """

    def __init__(self, board: SimBoard, faults: LineFaults | None = None) -> None:
        self.board = board
        self.faults = faults or LineFaults()
        self.plugged = True
        self.plug_count = 0
        """How often it was unplugged; a port opened before that stays dead."""
        self._replug_s = inf
        self._arrived = b""

    @property
    def next_due_s(self) -> float:
        """Time of the next action without input, s: of the board, the line or the plug."""
        with self.board.lock:
            return min(
                self.board.next_due_s,
                self.faults.to_board.next_due_s,
                self.faults.to_host.next_due_s,
                self._replug_s,
            )

    def advance(self, now_s: float) -> None:
        """Do everything due up to ``now_s``, in order of time."""
        with self.board.lock:
            if self._replug_s <= now_s:
                self._advance_line(self._replug_s)
                self.replug(self._replug_s)
            self._advance_line(now_s)

    def send(self, now_s: float, data: bytes) -> None:
        """Send bytes from the host; they are lost while unplugged."""
        with self.board.lock:
            self.advance(now_s)
            if self.plugged and not self.faults.value("deaf"):
                self.faults.to_board.send(now_s, data)
            self.advance(now_s)

    @property
    def waiting(self) -> int:
        """Number of bytes that had arrived for the host when it was advanced last."""
        return len(self._arrived)

    def take(self, now_s: float, size: int | None = None) -> bytes:
        """Take the bytes that have arrived for the host, at most ``size``."""
        with self.board.lock:
            self.advance(now_s)
            end = len(self._arrived) if size is None else size
            data, self._arrived = self._arrived[:end], self._arrived[end:]
            return data

    def unplug(self, now_s: float, for_s: float = inf) -> None:
        """Unplug the cable, for good or for ``for_s`` seconds."""
        with self.board.lock:
            self.advance(now_s)
            self.plugged = False
            self.plug_count += 1
            self._replug_s = now_s + for_s
            self.board.power_off(now_s)
            self._lose_all()

    def replug(self, now_s: float) -> None:
        """Plug the cable in; the board starts. Does nothing while it is plugged in."""
        with self.board.lock:
            if not self.plugged:
                self.plugged = True
                self._replug_s = inf
                self._lose_all()
                self.board.reset(now_s)

    def reset(self, now_s: float) -> None:
        """Press the board's reset button, or open a port that resets the board."""
        with self.board.lock:
            self.advance(now_s)
            if self.plugged:
                self.board.reset(now_s)

    def drop_arrived(self) -> None:
        """Discard the bytes kept for the host, e.g. because the port is not open."""
        with self.board.lock:
            self._arrived = b""

    def _advance_line(self, now_s: float) -> None:
        faults = self.faults
        for count in faults.take_bursts():
            faults.to_board.burst(now_s, count)
            faults.to_host.burst(now_s, count)
        # Each late byte reaches the board at its own time, in order with the board's own actions.
        while (arrival := faults.to_board.take(now_s)) is not None:
            self.board.receive(*arrival)
            self._collect()
        self.board.advance(now_s)
        self._collect()
        while (arrival := faults.to_host.take(now_s)) is not None:
            if self.plugged and not faults.value("mute"):
                self._arrived = (self._arrived + arrival[1])[:INPUT_BUFFER]

    def _collect(self) -> None:
        for sent_s, data in self.board.take_timed_output():
            self.faults.to_host.send(sent_s, data)

    def _lose_all(self) -> None:
        self.board.take_timed_output()
        self.faults.to_board.clear()
        self.faults.to_host.clear()
        self._arrived = b""
