"""Which throttle levers are closed beyond the approach setting, without flutter.

A lever has a hysteresis and must stay on its new side for a time, so that noise or a bouncing
switch never counts as closing it anew. An unknown lever keeps what was known of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isnan

from panelbridge.clock import TimerHeap
from panelbridge.logic.bands import NEVER_CALM
from panelbridge.logic.debounce import NEVER, Debouncer
from panelbridge.logic.rule import against
from panelbridge.signals import Reason


class ThrottleLevers:
    """The levers of all engines.

    Args:
        engines: number of levers.
        limit_fraction: at or below this a lever is closed, 0 to 1.
        hysteresis_fraction: it is open again above the limit plus this.
        settle_s: it must stay on its side for so long, s.
        timers: for settling.
        timer_prefix: first word of the names of its timers.
    """

    def __init__(
        self,
        engines: int,
        *,
        limit_fraction: float,
        hysteresis_fraction: float,
        settle_s: float,
        timers: TimerHeap,
        timer_prefix: str = "lever",
    ) -> None:
        self._timer_prefix = timer_prefix
        self._limit = limit_fraction
        self._reopen = limit_fraction + hysteresis_fraction
        self._settle_s = settle_s
        self._timers = timers
        self._raw: list[bool | None] = [None] * engines
        self._contacts = [Debouncer(settle_s) for _ in range(engines)]
        self.any_closed = False
        """A lever is closed, settled."""
        self.newly_closed = False
        """A lever has closed, settled, since this was last set to False."""
        self.newly_opened = False
        """A lever has opened, settled, since this was last set to False."""

    @property
    def all_open(self) -> bool:
        """Every lever is known to be open, settled."""
        return all(contact.stable is False for contact in self._contacts)

    @property
    def calm(self) -> tuple[tuple[float, float], ...]:
        """Above the first fraction and up to the second one nothing changes, for each lever."""
        bands = {True: (-inf, self._reopen), False: (self._limit, inf), None: NEVER_CALM}
        return tuple([bands[raw] for raw in self._raw])

    def take(self, now_s: float, fractions: Sequence[float | None]) -> bool:
        """Take the levers; True when a settled side has changed."""
        changed = False
        raw = self._raw
        limit, reopen = self._limit, self._reopen
        if len(fractions) > len(raw):
            fractions = fractions[: len(raw)]
        for number, fraction in enumerate(fractions):
            if fraction is None or isnan(fraction):
                self._lose(number)
                continue
            closed = fraction <= (reopen if raw[number] else limit)
            if closed is not raw[number]:
                raw[number] = closed
                changed = self._sample(now_s, number) or changed
        return changed

    def told(self, fractions: Sequence[float | None]) -> tuple[Reason, ...]:
        """Whether each lever is closed, with the value of ``fractions`` and its limit."""
        return tuple(
            Reason(
                f"lever {number + 1} closed",
                contact.stable is True,
                self._detail(number, fractions[number] if number < len(fractions) else None),
            )
            for number, contact in enumerate(self._contacts)
        )

    def _detail(self, number: int, fraction: float | None) -> str:
        if fraction is None or isnan(fraction):
            return "unknown: kept" if self._raw[number] is not None else "unknown"
        # Between the two limits the side that it is on decides.
        kept = fraction > self._limit and self._raw[number]
        detail = against(fraction, self._reopen if kept else self._limit)
        if self._contacts[number].due_s != NEVER:
            detail += f", not yet for {self._settle_s:g} s"
        return detail

    def _lose(self, number: int) -> None:
        """A lever has become unknown: what was about to settle does not, what was known stays."""
        contact = self._contacts[number]
        if contact.due_s == NEVER:
            return
        self._timers.cancel((self._timer_prefix, number))
        self._contacts[number] = Debouncer(self._settle_s, initial=contact.stable)
        self._raw[number] = contact.stable

    def timer_due(self, now_s: float, name: object) -> bool:
        """Whether the timer ``name`` is of a lever; if so, act."""
        if not (isinstance(name, tuple) and name[0] == self._timer_prefix):
            return False
        # Levers that settle at one instant settle together: nobody sees one of them alone.
        for number, contact in enumerate(self._contacts):
            if contact.due_s <= now_s or number == name[1]:
                self._sample(now_s, number)
        return True

    def _sample(self, now_s: float, number: int) -> bool:
        contact = self._contacts[number]
        before = contact.stable
        changed = contact.sample(now_s, self._raw[number] is True)
        if contact.due_s != NEVER:
            self._timers.start((self._timer_prefix, number), contact.due_s)
        else:
            self._timers.cancel((self._timer_prefix, number))
        if changed:
            self.newly_closed = self.newly_closed or contact.stable is True
            self.newly_opened = self.newly_opened or before is True
            self.any_closed = any(lever.stable is True for lever in self._contacts)
        return changed
