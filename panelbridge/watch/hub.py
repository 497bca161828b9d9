"""What the publisher holds: the newest snapshot and the last events, as lines for viewers.

Lines of a viewer's connection begin with one letter: ``P`` the last minute, ``E`` an event, ``S`` a
snapshot, ``B`` the end with its reason. A viewer gets the last minute and each event once, and
never a snapshot but the newest.
"""

from __future__ import annotations

import json
from collections import deque

from panelbridge.watch.datagrams import PublishedPart
from panelbridge.watch.past import KeptPast

KEPT_EVENTS = 200
"""As many as the engine keeps."""


class Hub:
    """The publisher's memory."""

    def __init__(self) -> None:
        self._snapshot = b""
        self._events: deque[bytes] = deque(maxlen=KEPT_EVENTS)
        self._count = 0
        self._end = b""
        self._past = KeptPast()

    def take(self, part: PublishedPart) -> bool:
        """Take what the engine has sent; whether there is a new snapshot."""
        known = max(self._count - part.first_event, 0)
        new = part.events[known:]
        self._events.extend(new)
        self._count = max(self._count, part.first_event + len(part.events))
        if part.snapshot:
            self._snapshot = part.snapshot
            self._past.take(part.snapshot)
        return bool(part.snapshot)

    def end(self, reason: str) -> None:
        """The run is over; ``reason``: why, for people."""
        self._end = b"B" + json.dumps(reason).encode() + b"\n"

    @property
    def has_ended(self) -> bool:
        """The run is over."""
        return bool(self._end)

    def past(self) -> bytes:
        """The last minute, for a viewer that joins."""
        return self._past.line()

    def lines_after(self, event_count: int) -> tuple[bytes, int]:
        """The newest state for a viewer that has the events up to a number, and the number now."""
        new = min(self._count - event_count, len(self._events))
        events = list(self._events)[len(self._events) - new :]
        lines = [b"E" + event + b"\n" for event in events]
        if self._snapshot:
            lines.append(b"S" + self._snapshot + b"\n")
        lines.append(self._end)
        return b"".join(lines), self._count
