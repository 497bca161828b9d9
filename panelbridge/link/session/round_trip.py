"""The round trip of a live link: a COMMAND is its probe, and the REPORT that names it ends it."""

from __future__ import annotations

from math import inf

from panelbridge.link.wire import EDGE_MODULO
from panelbridge.link.wire.time_outs import ANSWER_GAP_MS, REPORT_INTERVAL_MS, ROUND_TRIP_EACH_S

_PROBE_GAP_S = 1.5 * ANSWER_GAP_MS / 1000
"""A COMMAND this long after the last REPORT is answered at once: it measures the round trip."""
_PROBE_AFTER_S = REPORT_INTERVAL_MS / 2000
"""When no other COMMAND does, one is sent midway between two REPORTs to measure it."""
_PERIODIC_S = 0.9 * REPORT_INTERVAL_MS / 1000
"""A REPORT this long after the one before may be no answer to the probe."""
_CROSSED_S = 2 * ANSWER_GAP_MS / 1000
"""A REPORT that comes this long after the probe and names an older COMMAND proves a slow link."""


class RoundTripProbe:
    """Measures one link again and again.

    Args:
        now_s: when the link came alive, s.
    """

    def __init__(self, now_s: float) -> None:
        self._sequence = -1
        self._sent_s = now_s - ROUND_TRIP_EACH_S
        self._crossed_s = -inf
        self._asked_again = False

    def due_s(self, last_report_s: float) -> float:
        """When a COMMAND is to be sent to measure it, if no other is sent before, s."""
        return max(last_report_s + _PROBE_AFTER_S, self._sent_s + ROUND_TRIP_EACH_S)

    def sent(self, now_s: float, sequence: int, last_report_s: float) -> None:
        """A COMMAND of this number is sent; it is the probe when one is wanted."""
        # A probe that nothing has named within its time is lost.
        may_ask = self._sequence < 0 or now_s >= self._sent_s + ROUND_TRIP_EACH_S
        if may_ask and now_s - last_report_s > _PROBE_GAP_S:
            self._sequence = sequence
            self._sent_s = now_s
            self._crossed_s = -inf

    def named(self, now_s: float, sequence: int) -> float | None:
        """A REPORT names this COMMAND; returns the round trip, s, if it answers the probe.

        One that crossed the probe came earlier.
        """
        if self._sequence < 0:
            return None
        ahead = (sequence - self._sequence) % EDGE_MODULO
        if ahead >= EDGE_MODULO // 2:
            self._crossed_s = now_s
            return None
        self._sequence = -1
        if ahead:
            return None  # the REPORT that would have named it was lost, or there was none
        crossed_s, trip_s = self._crossed_s - self._sent_s, now_s - self._sent_s
        # A COMMAND that met the board just behind a REPORT got no answer of its own: on a fast
        # link that REPORT has crossed it, on a slow one the next is a whole interval later.
        is_answer = crossed_s < 0 or (
            crossed_s >= _CROSSED_S and (trip_s - crossed_s < _PERIODIC_S or self._asked_again)
        )
        self._asked_again = not is_answer
        if is_answer:
            return trip_s
        self._sent_s -= ROUND_TRIP_EACH_S  # ask again, midway between two REPORTs
        return None
