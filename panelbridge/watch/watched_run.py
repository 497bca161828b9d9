"""What a viewer knows of a run: its newest snapshot, its last events, and whether they are live."""

from __future__ import annotations

import json
from collections import deque
from enum import StrEnum
from threading import Lock

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.engine.snapshot import KEPT_EVENTS, Snapshot
from panelbridge.errors import MessageError
from panelbridge.signals import Event
from panelbridge.watch.codec import EVENTS, SNAPSHOTS
from panelbridge.watch.past import read_past

SILENT_AFTER_S = 1.5
"""A run that publishes nothing for this long stands still, s."""


class Liveness(StrEnum):
    """Whether what a viewer shows is the run as it is."""

    LIVE = "live"
    SILENT = "silent"
    """Connected, and no snapshot comes."""
    LOST = "lost"
    """Not connected."""
    ENDED = "ended"
    """The run has said that it has ended."""


class WatchStatus(Struct, frozen=True):
    """Whether what a viewer shows is live.

    Attributes:
        liveness: whether it is.
        text: for people; without a full stop.
    """

    liveness: Liveness
    text: str

    @property
    def is_live(self) -> bool:
        """The screen shows the run as it is."""
        return self.liveness is Liveness.LIVE


class WatchedRun:
    """Written by a viewer's connection, read by its screen; any thread may call either.

    Args:
        where: address of the run, for people.
        now_s: the time, s.
    """

    def __init__(self, where: str, now_s: float) -> None:
        self._where = where
        self._lock = Lock()
        self._events: deque[Event] = deque(maxlen=KEPT_EVENTS)
        self._newest = b""
        self._past: list[bytes] = []
        self._heard_s = now_s
        self._end = ""
        self._loss = ""
        self._read: tuple[bytes, int] = (b"", 0)
        self._snapshot = Snapshot()

    def connected(self, now_s: float) -> None:
        """A connection begins: all that is kept comes once more."""
        with self._lock:
            self._events.clear()
            self._heard_s, self._loss, self._end = now_s, "", ""

    def take(self, line: bytes, now_s: float) -> None:
        """A line of the connection. Raises: MessageError, when it is no such line."""
        kind, rest = line[:1], line[1:].rstrip()
        with self._lock:
            if kind == b"E":
                self._events.append(EVENTS.read(rest))
            elif kind == b"S":
                self._newest, self._heard_s = rest, now_s
            elif kind == b"P":
                self._past = read_past(rest)
            elif kind == b"B":
                self._end = _text(rest)
            else:
                raise MessageError("this is not what this version of panelbridge publishes")

    def lost(self, reason: str) -> None:
        """The connection has ended; ``reason``: why, for people."""
        with self._lock:
            self._loss = reason

    def take_past(self) -> list[Snapshot]:
        """Snapshots of the minute before the connection, the oldest first; each once.

        Raises:
            MessageError: one is none.
        """
        with self._lock:
            past, self._past = self._past, []
        return [SNAPSHOTS.read(line) for line in past]

    def snapshot(self) -> Snapshot:
        """The newest snapshot. Only this one is ever read: others were never looked at.

        Raises:
            MessageError: it is none.
        """
        with self._lock:
            newest, events = self._newest, tuple(self._events)
        if newest and (newest, len(events)) != self._read:
            self._snapshot = replace(SNAPSHOTS.read(newest), events=events)
            self._read = (newest, len(events))
        return self._snapshot

    def status(self, now_s: float) -> WatchStatus:
        """Whether what the screen shows is live, and since when not."""
        with self._lock:
            end, loss, silent_s = self._end, self._loss, now_s - self._heard_s
        if end:
            return WatchStatus(Liveness.ENDED, end)
        if loss:
            return WatchStatus(Liveness.LOST, f"no connection to {self._where}: {loss}")
        if silent_s > SILENT_AFTER_S:
            text = f"nothing has come from {self._where} for {silent_s:.0f} s"
            return WatchStatus(Liveness.SILENT, text)
        return WatchStatus(Liveness.LIVE, f"watching {self._where}")


def _text(line: bytes) -> str:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        found = None
    return found if isinstance(found, str) else "the run has ended"
