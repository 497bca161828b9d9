"""Watches a scenario on boards: the judge, with what real time forgives."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.bench.boards.grace import looks_from_s, with_grace
from panelbridge.bench.language.plan import Expectation, ExpectNow, Step
from panelbridge.bench.verdict.judge import Explain, Judge
from panelbridge.bench.verdict.monitors import Monitor, monitor_of
from panelbridge.bench.verdict.run_words import actual_words, expected_words
from panelbridge.bench.verdict.trace import Sample, Trace
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Event


class BoardWatch(Judge):
    """Everything that was seen and decided in a run.

    Args:
        specs: every signal.
        sample: the panel before anything was seen.
        explain: gives the reasons behind lamps and horn.
    """

    def __init__(self, specs: Mapping[str, Signal], sample: Sample, explain: Explain) -> None:
        super().__init__(specs, sample, explain, Trace())
        self._of_now: list[Monitor] = []
        self._of_step: list[Event] = []

    def hear(self, event: Event) -> None:
        """Take an event."""
        self._of_step.append(event)
        super().hear(event)

    def begin_step(self, step: Step) -> None:
        """Events from now on belong to ``step``."""
        self._of_step.clear()
        self._of_now.clear()
        super().begin_step(step)

    def expect(self, expectation: Expectation, now_s: float) -> None:
        """Begin to watch for something, from the next sample on."""
        monitor = monitor_of(with_grace(expectation), self._specs, now_s)
        monitor.expected = expected_words(expectation, self._specs)
        monitor.looks_from_s = looks_from_s(expectation, now_s)
        self.monitors.append(monitor)
        if isinstance(expectation, ExpectNow):
            self._of_now.append(monitor)
        # Events that came while a person was asked belong to this step too.
        self.replay(monitor, self._of_step)

    @property
    def now_is_open(self) -> bool:
        """What is expected now is not decided yet."""
        return any(monitor in self._of_now for monitor in self.monitors)

    def fail_move(self, switch: str, words: str) -> None:
        """A switch was not moved to where a person was asked to put it."""
        self.fail(self.spot, words, actual_words([switch], self._specs, self.sample))
