"""Expectations of events while they run: never, in order, so many times."""

from __future__ import annotations

from panelbridge.bench.language.expectations import ExpectCount, ExpectOrder, ExpectSilence
from panelbridge.bench.verdict.monitors import EPSILON_S, HELD, Monitor, Specs, Verdict
from panelbridge.bench.verdict.run_words import event_line, pattern_words, times_words
from panelbridge.bench.verdict.trace import Sample
from panelbridge.signals import Event


class SilenceMonitor(Monitor):
    """Never, of an event."""

    def __init__(self, expectation: ExpectSilence, specs: Specs, ends_s: float) -> None:
        super().__init__(expectation, specs, ends_s)
        self._name = expectation.event

    def hear(self, event: Event) -> Verdict | None:
        """Failed as soon as it comes."""
        if event.name != self._name:
            return None
        return Verdict(False, f"{event.name}: {event_line(event).strip()}")


class OrderMonitor(Monitor):
    """Waits for its events, one after the other."""

    slack_s = EPSILON_S

    def __init__(self, expectation: ExpectOrder, specs: Specs, ends_s: float) -> None:
        super().__init__(expectation, specs, ends_s)
        self._expected_order = expectation.events
        self._missing = list(expectation.events)
        self._came: list[Event] = []

    def hear(self, event: Event) -> Verdict | None:
        """Held when the last one of them has come."""
        pattern = self._missing[0]
        if pattern.fits(event):
            del self._missing[0]
            self._came.append(event)
        return None if self._missing else HELD

    def expire(self, sample: Sample) -> Verdict:
        """Not all of them came."""
        pairs = zip(self._expected_order, self._came, strict=False)
        came = "".join(f"{pattern_words(p)} at {e.time_s:.3f} s, " for p, e in pairs)
        missing = self._missing[0]
        words = f"{came}{'then ' if came else ''}no {pattern_words(missing)}"
        return Verdict(False, words, missing=missing, counted=tuple(self._came))


class CountMonitor(Monitor):
    """Counts an event until its time is over."""

    def __init__(self, expectation: ExpectCount, specs: Specs, now_s: float) -> None:
        super().__init__(expectation, specs, now_s + expectation.for_s + expectation.grace_s)
        self._expectation = expectation
        self._sure_until_s = self.ends_s - 2 * expectation.grace_s
        self._came: list[Event] = []

    def hear(self, event: Event) -> Verdict | None:
        """Failed as soon as it comes too often."""
        pattern = self._expectation.event
        if not pattern.fits(event):
            return None
        self._came.append(event)
        sure = sum(one.time_s <= self._sure_until_s for one in self._came)
        return self._failed() if sure > self._expectation.count else None

    def expire(self, sample: Sample) -> Verdict:
        """It came as often as it should, or less often."""
        return self._failed() if len(self._came) < self._expectation.count else HELD

    def _failed(self) -> Verdict:
        times = ", ".join(f"{one.time_s:.3f} s" for one in self._came)
        words = f"{pattern_words(self._expectation.event)} {times_words(len(self._came))}"
        return Verdict(False, f"{words}: at {times}" if times else words)
