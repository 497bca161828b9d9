# Raw capture: records when one contact changes, before debouncing. PROTOCOL.md, 4.8.

import hardware
import struct

from terms import CAPTURED, MAX_CAPTURE_TIMES

_MOST = 65535


class RawCapture:
    def __init__(self, place, window_ms, raw, now):
        self.place = place
        self._window_us = window_ms * 1000
        self._raw = raw
        self._looked = now
        self._first = 0
        self._first_closed = False
        self._changes = 0
        self._resolution_us = 0
        self._times = []

    def sample(self, raw, now):
        gap_us = hardware.ticks_diff(now, self._looked)
        self._looked = now
        self._resolution_us = max(self._resolution_us, gap_us)
        if raw == self._raw:
            return
        self._raw = raw
        if not self._changes:
            self._first = now
            self._first_closed = raw
        since_us = hardware.ticks_diff(now, self._first)
        if since_us >= self._window_us:
            return
        self._changes += 1
        if len(self._times) < MAX_CAPTURE_TIMES:
            self._times.append(since_us)

    def is_done(self, now):
        return bool(self._changes) and hardware.ticks_diff(now, self._first) >= self._window_us

    def message(self, session):
        head = empty(session, self.place, self._first_closed, self._changes, self._resolution_us)
        return head + b"".join([time.to_bytes(3, "little") for time in self._times])


def empty(session, place, first_closed=False, changes=0, resolution_us=0):
    return struct.pack(
        "<BBBBHH",
        CAPTURED,
        session,
        place,
        first_closed,
        min(changes, _MOST),
        min(resolution_us, _MOST),
    )
