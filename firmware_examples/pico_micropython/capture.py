# Raw capture: records when one contact changes, before debouncing. PROTOCOL.md, 4.8.

import hardware
import struct

from array import array
from terms import CAPTURED, MAX_CAPTURE_TIMES

_HEAD = 8
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
        self._times = array("i", [0] * MAX_CAPTURE_TIMES)

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
        if self._changes < MAX_CAPTURE_TIMES:
            self._times[self._changes] = since_us
        self._changes += 1

    def is_done(self, now):
        return self._changes > 0 and hardware.ticks_diff(now, self._first) >= self._window_us

    def write(self, message, session):
        # Returns the length of the CAPTURED.
        changes = self._changes
        write_empty(message, session, self.place, self._first_closed, changes, self._resolution_us)
        at = _HEAD
        for nth in range(min(changes, MAX_CAPTURE_TIMES)):
            time = self._times[nth]
            message[at] = time & 0xFF
            message[at + 1] = time >> 8 & 0xFF
            message[at + 2] = time >> 16
            at += 3
        return at


def write_empty(message, session, place, first_closed=False, changes=0, resolution_us=0):
    struct.pack_into(
        "<BBBBHH",
        message,
        0,
        CAPTURED,
        session,
        place,
        first_closed,
        min(changes, _MOST),
        min(resolution_us, _MOST),
    )
    return _HEAD
