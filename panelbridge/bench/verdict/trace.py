"""What a run of a scenario leaves: every change, every event, every mark.

Screens, timelines, waveforms and coverage read this one record; nothing else is asked again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from math import inf

from msgspec import Struct, field

from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.verdict.failure import Failure
from panelbridge.logic.kit.step import Saved
from panelbridge.logic.kit.world import Moving, World
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.signals import Event


class Stepping(Moving):
    """A cell that moves in steps of time."""

    __slots__ = ()

    def next_s(self, now_s: float) -> float:
        """When it has its next value after ``now_s``, s; inf when it has arrived."""
        raise NotImplementedError


class Sample(World):
    """The whole panel from ``time_s`` on, until the next sample: signals are read from it.

    Samples of one instant come in order; the last one counts.

    Args:
        time_s: seconds of the scenario.
        world: everything as the logic sees it, with lamps as they really shine.
        rate: seconds of the world in a second of the scenario; 0 = paused.
    """

    __slots__ = ("rate", "time_s")

    def __init__(self, time_s: float, world: World, rate: float = 1.0) -> None:
        super().__init__(world._cells, world.now_s, world._over)
        self.time_s = time_s
        self.rate = rate

    def later(self, time_s: float) -> Sample:
        """The same panel later: only what changes by itself has moved on."""
        if self.rate == 1.0 and self.now_s == self.time_s:
            return Sample(time_s, self.at(time_s))
        now_s = self.now_s + self.rate * (time_s - self.time_s)
        return Sample(time_s, self.at(now_s), self.rate)

    def when(self, now_s: float) -> float:
        """The time of the scenario when that of the world is ``now_s``; inf = never."""
        if self.rate == 1.0 and self.now_s == self.time_s:
            return now_s
        return self.time_s + (now_s - self.now_s) / self.rate if self.rate else inf

    @property
    def shown(self) -> ShownFacts:
        """What the panel shows, and asks of the simulator."""
        return self[ShownFacts]

    def next_step_s(self, now_s: float) -> float:
        """When one of its cells makes its next step after ``now_s``, s; inf when none does."""
        cells = self._over.values()
        return min((one.next_s(now_s) for one in cells if isinstance(one, Stepping)), default=inf)


class _Run(Struct):
    """A sample and those that follow from it.

    Attributes:
        first: the sample.
        steps: at so many of its next steps there is the same panel, later.
    """

    first: Sample
    steps: int = 0

    def __iter__(self) -> Iterator[Sample]:
        yield self.first
        time_s = self.first.time_s
        for _ in range(self.steps):
            time_s = self.first.next_step_s(time_s)
            yield self.first.later(time_s)


def _follows(sample: Sample, last: Sample) -> bool:
    """Whether ``sample`` is ``last`` at the next step of one of its cells.

    The clock of a run on boards is not the scenario's: a sum of both would not be made again to the
    last digit, so such samples are kept.
    """
    on_time = last.now_s == last.time_s and sample.now_s == sample.time_s
    is_only_later = on_time and sample.is_only_later(last)
    return is_only_later and last.next_step_s(last.time_s) == sample.time_s


class Samples:
    """Samples by time. Those that follow from the one before are counted, and made when read.

    A ramp gives a sample every 20 ms, all of which follow from its line: a day of ramps costs no
    more memory than a minute.
    """

    def __init__(self, samples: Iterable[Sample] = ()) -> None:
        self._runs: list[_Run] = []
        self._last: Sample | None = None
        self._count = 0
        for sample in samples:
            self.append(sample)

    def append(self, sample: Sample) -> None:
        """Take the next one."""
        last, self._last = self._last, sample
        self._count += 1
        if last is not None and _follows(sample, last):
            self._runs[-1].steps += 1
        else:
            self._runs.append(_Run(sample))

    @property
    def whole(self) -> Iterator[Sample]:
        """Those that do not follow from the one before: nothing else differs but by time."""
        return (run.first for run in self._runs)

    def spaced(self, least_s: float) -> Iterator[Sample]:
        """Those, and of the others only such as come ``least_s`` after the one before or later."""
        for run in self._runs:
            shown_s = run.first.time_s
            yield run.first
            for sample in islice(run, 1, None):
                if sample.time_s - shown_s >= least_s:
                    shown_s = sample.time_s
                    yield sample

    def __iter__(self) -> Iterator[Sample]:
        return (sample for run in self._runs for sample in run)

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, place: int) -> Sample:
        """One of them; the last is at hand, others are searched for."""
        if place == -1 and self._last is not None:
            return self._last
        for sample in islice(self, range(len(self))[place], None):
            return sample
        raise IndexError(place)


class Mark(Struct, frozen=True):
    """A step began, or an expectation ended.

    Attributes:
        time_s: when.
        text: what, in words.
        spot: where it stands in the file.
        failed: it is a failed expectation.
        passed: it is an expectation that held.
    """

    time_s: float
    text: str
    spot: Spot
    failed: bool = False
    passed: bool = False


class Trace(Struct):
    """The record of one run.

    Attributes:
        samples: by time.
        events: by time.
        marks: by time.
        end_s: when the run ended.
        begun_s: when the record begins; 0 but for a long run whose first part was dropped.
        begun: the state of the logic at the start of a run in virtual time, as plain data.
        visited_states: ids of chart states that were entered or left, all charts.
        taken_transitions: ``from -> to`` ids of chart transitions that were taken, all charts.
    """

    samples: Samples = field(default_factory=Samples)
    events: list[Event] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    end_s: float = 0.0
    begun_s: float = 0.0
    begun: Saved = ()
    visited_states: set[str] = field(default_factory=set)
    taken_transitions: set[str] = field(default_factory=set)


class Undecided(Struct, frozen=True):
    """An expectation that neither held nor failed.

    Attributes:
        spot: where it stands.
        expected: in words.
        unknown: the unknown signals that left it open; none when the scenario ended before it.
    """

    spot: Spot
    expected: str
    unknown: tuple[str, ...] = ()


class ScenarioResult(Struct, frozen=True):
    """How a scenario went.

    Attributes:
        plan: what was run.
        failures: none when it passed.
        trace: the record.
        undecided: what neither held nor failed.
    """

    plan: ScenarioPlan
    failures: tuple[Failure, ...]
    trace: Trace
    undecided: tuple[Undecided, ...] = ()

    @property
    def passed(self) -> bool:
        """Every expectation held."""
        return not self.failures and not self.undecided


Run = Callable[[ScenarioPlan], ScenarioResult]
"""Runs a scenario to its end."""
