"""Snapshots out of the engine's thread: each as one datagram, its events once and again."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import replace

from panelbridge.engine.snapshot import Snapshot
from panelbridge.watch.codec import EVENTS, SNAPSHOTS
from panelbridge.watch.datagrams import DatagramSealer, PublishedPart

REPEATED = 5
"""So many of the last events are in every datagram, so that a lost one loses no event."""
_EVENT_BYTES = 2000
"""More events than fit in here beside a snapshot go before it, in datagrams of their own."""


class SnapshotSender:
    """Sends snapshots as datagrams.

    Args:
        sealer: makes the datagrams.
        send: sends one; may lose it, never blocks, never raises.

    Attributes:
        too_long: snapshots and events that fit into no datagram.
    """

    def __init__(self, sealer: DatagramSealer, send: Callable[[bytes], object]) -> None:
        self._sealer = sealer
        self._send = send
        self._count = 0
        self._last: deque[bytes] = deque(maxlen=REPEATED)
        self.too_long = 0

    def put(self, snapshot: Snapshot) -> None:
        """Send a snapshot, and the events that are new in it."""
        new = min(snapshot.event_count - self._count, len(snapshot.events))
        lines = [*self._last, *map(EVENTS.write, snapshot.events[len(snapshot.events) - new :])]
        self._count = snapshot.event_count
        self._last.extend(lines[len(lines) - new :])
        first, kept = self._count - len(lines), 0
        while lines and sum(map(len, lines)) > _EVENT_BYTES:
            kept = _fitting(lines)
            self._put(PublishedPart(b"", first, tuple(lines[:kept])))
            lines, first = lines[kept:], first + kept
        part = PublishedPart(SNAPSHOTS.write(snapshot), first, tuple(lines))
        if not self._put(part) and snapshot.explanations:
            # Better without the answers to a screen's questions than not at all.
            short = SNAPSHOTS.write(replace(snapshot, explanations={}))
            self._put(PublishedPart(short, first, tuple(lines)))

    def _put(self, part: PublishedPart) -> bool:
        datagram = self._sealer.seal(part)
        if datagram is None:
            self.too_long += 1
            return False
        self._send(datagram)
        return True


def _fitting(lines: list[bytes]) -> int:
    """How many of the first lines go together into one datagram; at least one."""
    length = 0
    for at, line in enumerate(lines):
        length += len(line)
        if length > _EVENT_BYTES:
            return max(at, 1)
    return len(lines)
