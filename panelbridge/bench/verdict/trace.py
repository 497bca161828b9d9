"""What a run of a scenario leaves: every change, every event, every mark.

Screens, timelines, waveforms and coverage read this one record; nothing else is asked again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from panelbridge.bench.language.plan import Failure, ScenarioPlan, Spot
from panelbridge.signals import AircraftState, Event, LogicView, Outputs, SwitchState


@dataclass(frozen=True, slots=True)
class Sample:
    """The whole panel from ``time_s`` on, until the next sample.

    Attributes:
        time_s: seconds of the scenario; samples of one instant come in order, the last one counts.
        switches: as the logic sees them.
        aircraft: as the logic sees it.
        outputs: as the logic commands them.
        shown_lamps: brightness as the lamps really shine (a dead lamp, an unplugged board).
        view: inside of the logic; its transit fractions are those of this instant.
        gear_command: "up", "down" or "none".
    """

    time_s: float
    switches: SwitchState
    aircraft: AircraftState
    outputs: Outputs
    shown_lamps: dict[str, int]
    view: LogicView
    gear_command: str


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
        visited_states: ids of chart states that were entered, all charts.
        taken_transitions: ``from -> to`` ids of chart transitions that were taken, all charts.
    """

    samples: list[Sample] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    end_s: float = 0.0
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
