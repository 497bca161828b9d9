"""Snapshots out of the engine's thread: each as one datagram, its events once and again."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from itertools import chain

from msgspec.structs import replace

from panelbridge.engine.snapshot import Snapshot
from panelbridge.watch.codec import EVENTS, SNAPSHOTS
from panelbridge.watch.datagrams import DatagramSealer, PublishedPart

REPEATED = 5
"""So many of the last events are in every datagram, so that a lost one loses no event."""
_EVENT_BYTES = 2000
"""More events than fit in here beside a snapshot go before it, in datagrams of their own."""
_MOST_TEXTS = (40, 10, 2)
_LONGEST_TEXT = 200


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
            if not self._put(PublishedPart(b"", first, tuple(lines[:kept]))):
                self.too_long += 1
            lines, first = lines[kept:], first + kept
        if not any(
            self._put(PublishedPart(SNAPSHOTS.write(one), first, tuple(lines)))
            for one in chain((snapshot,), _shorter(snapshot))
        ):
            self.too_long += 1

    def _put(self, part: PublishedPart) -> bool:
        """Send it; whether it fits into a datagram."""
        datagram = self._sealer.seal(part)
        if datagram is None:
            return False
        self._send(datagram)
        return True


def _shorter(snapshot: Snapshot) -> Iterator[Snapshot]:
    """Snapshots that say less, and that they do: better than none.

    First without the answers to a screen's questions, then with ever fewer texts.
    """
    snapshot = replace(snapshot, explanations={})
    yield snapshot
    for most in _MOST_TEXTS:
        logic = replace(
            snapshot.logic,
            faults=_cut(snapshot.logic.faults, most),
            horn_causes=_cut(snapshot.logic.horn_causes, most),
            warning_causes=_cut(snapshot.logic.warning_causes, most),
        )
        boards = [replace(one, message=_cut_text(one.message)) for one in snapshot.boards]
        show = replace(snapshot.show, broken=_cut(snapshot.show.broken, most))
        yield replace(snapshot, logic=logic, boards=tuple(boards), show=show)


def _cut(texts: Sequence[str], most: int) -> tuple[str, ...]:
    shown = [_cut_text(text) for text in texts[:most]]
    more = len(texts) - most
    return (*shown, f"{more} more: see the screen of the run") if more > 0 else tuple(shown)


def _cut_text(text: str) -> str:
    return text if len(text) <= _LONGEST_TEXT else f"{text[: _LONGEST_TEXT - 1]}…"


def _fitting(lines: list[bytes]) -> int:
    """How many of the first lines go together into one datagram; at least one."""
    length = 0
    for at, line in enumerate(lines):
        length += len(line)
        if length > _EVENT_BYTES:
            return max(at, 1)
    return len(lines)
