"""The raw capture: notes when one contact really changes, before any debouncing."""

from __future__ import annotations

from panelbridge.link.messages import MAX_CAPTURE_TIMES, Capture, Captured

_US = 1_000_000
_MOST = 65535


class RawCapture:
    """Watches one contact, as a CAPTURE asks.

    Args:
        order: what to watch.
        raw: how the contact is now, before debouncing.

    Attributes:
        due_s: when the window ends; infinity while no change has come.
    """

    RESOLUTION_US = 1
    """The simulated board misses nothing; its times are told in microseconds."""

    def __init__(self, order: Capture, raw: bool) -> None:
        self._order = order
        self._raw = raw
        self._first_s = 0.0
        self._first_closed = False
        self._changes = 0
        self._times_us: list[int] = []
        self.due_s = float("inf")

    @property
    def contact(self) -> int:
        """The contact that is watched."""
        return self._order.contact

    def look(self, now_s: float, raw: bool) -> None:
        """The contact may have changed."""
        if raw == self._raw:
            return
        self._raw = raw
        if not self._changes:
            self._first_s, self._first_closed = now_s, raw
            self.due_s = now_s + self._order.window_ms / 1000.0
        self._changes += 1
        if len(self._times_us) < MAX_CAPTURE_TIMES:
            self._times_us.append(round((now_s - self._first_s) * _US))

    def result(self) -> Captured:
        """What was seen so far."""
        return Captured(
            self._order.session,
            self._order.contact,
            self._first_closed,
            min(self._changes, _MOST),
            self.RESOLUTION_US,
            tuple(self._times_us),
        )
