"""Raw capture: the changes of one contact before debouncing."""

from __future__ import annotations

from math import inf

from panelbridge.link.wire import MAX_CAPTURE_TIMES, Capture, Captured

_MOST = 65535


class RawCapture:
    """Captures one contact, as a CAPTURE orders.

    Args:
        order: what to capture.
        raw: state of the contact now, before debouncing.

    Attributes:
        contact: the contact that is captured.
        due_s: when the window ends; infinity while no change has come.
    """

    RESOLUTION_US = 1
    """The simulated board misses no change; its times are exact to 1 us."""

    def __init__(self, order: Capture, raw: bool) -> None:
        self.contact = order.contact
        self.due_s = inf
        self._order = order
        self._raw = self._first_closed = raw
        self._first_s = 0.0
        self._changes = 0
        self._times_us: list[int] = []

    def sample(self, now_s: float, raw: bool) -> None:
        """Take the contact's state now."""
        if raw == self._raw:
            return
        self._raw = raw
        if not self._changes:
            self._first_s, self._first_closed = now_s, raw
            self.due_s = now_s + self._order.window_ms / 1000.0
        self._changes += 1
        if len(self._times_us) < MAX_CAPTURE_TIMES:
            self._times_us.append(round((now_s - self._first_s) * 1e6))

    def result(self) -> Captured:
        """The changes captured so far."""
        return Captured(
            self._order.session,
            self.contact,
            self._first_closed,
            min(self._changes, _MOST),
            self.RESOLUTION_US,
            tuple(self._times_us),
        )
