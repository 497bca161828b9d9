"""What a run of a scenario leaves: every change, every event, every mark.

Screens, timelines, waveforms and coverage read this one record; nothing else is asked again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from panelbridge.bench.language.plan import Failure, ScenarioPlan, Spot
from panelbridge.logic.kit.step import Saved
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.signals import Event


class Sample(World):
    """The whole panel from ``time_s`` on, until the next sample: signals are read from it.

    Samples of one instant come in order; the last one counts.

    Args:
        time_s: seconds of the scenario.
        world: everything as the logic sees it, with lamps as they really shine.
    """

    __slots__ = ("time_s",)

    def __init__(self, time_s: float, world: World) -> None:
        super().__init__(world._cells, world.now_s, world._over)
        self.time_s = time_s

    def later(self, time_s: float) -> Sample:
        """The same panel later: only what changes by itself has moved on."""
        ahead_s = self.now_s - self.time_s
        return Sample(time_s, self.at(time_s + ahead_s if ahead_s else time_s))

    @property
    def shown(self) -> ShownFacts:
        """What the panel shows, and asks of the simulator."""
        return self[ShownFacts]


@dataclass(frozen=True, slots=True)
class Mark:
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


@dataclass(slots=True)
class Trace:
    """The record of one run.

    Attributes:
        samples: by time.
        events: by time.
        marks: by time.
        end_s: when the run ended.
        begun: the state of the logic at the start of a run in virtual time, as plain data.
        visited_states: ids of chart states that were entered or left, all charts.
        taken_transitions: ``from -> to`` ids of chart transitions that were taken, all charts.
    """

    samples: list[Sample] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    end_s: float = 0.0
    begun: Saved = ()
    visited_states: set[str] = field(default_factory=set)
    taken_transitions: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Undecided:
    """An expectation that neither held nor failed.

    Attributes:
        spot: where it stands.
        expected: in words.
        unknown: the unknown signals that left it open; none when the scenario ended before it.
    """

    spot: Spot
    expected: str
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ScenarioResult:
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
