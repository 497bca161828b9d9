"""A scenario as the bench runs it: every name resolved, every value checked, nothing left to read.

``load_scenario.py`` makes it from YAML, the runners run it. All times are seconds of virtual time.
Each part keeps the place where it stands in its file, for failures.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from math import inf
from pathlib import Path

from msgspec import Struct, field

from panelbridge.bench.language.expectations import EventPattern, Expectation, Spot
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.panel_file import PanelFile
from panelbridge.logic.kit.conditions import Condition
from panelbridge.signals import AircraftState, Value

ALL, FEED = "all", "feed"
"""Everything that is broken; every value of the aircraft."""
BOARD = "board"
"""The one board of a scenario that names no panel, or whose panel has no other."""
HANDLE = "gear_handle"
"""The switch that has its own places and faults."""


class SetValues(Struct, frozen=True):
    """Give aircraft values at once, by their names as signals; None makes one unknown."""

    values: Mapping[str, Value]


class RampValues(Struct, frozen=True):
    """Move numbers to their targets in straight lines over ``over_s`` > 0."""

    targets: Mapping[str, float]
    over_s: float


class AddNoise(Struct, frozen=True):
    """Let numbers jump about where they are, evenly spread and the same in every run.

    Attributes:
        amplitudes: how far either way, in the unit of each; 0 ends its noise.
        for_s: how long; inf = to the end.
        seed: another one gives other noise.
    """

    amplitudes: Mapping[str, float]
    for_s: float = inf
    seed: int = 1


class MoveSwitch(Struct, frozen=True):
    """Put a switch somewhere.

    Attributes:
        switch: its name in the panel file.
        position: "up", "down", "between", "pressed", "released", or 0 to 1 of a lever.
    """

    switch: str
    position: str | float


class FaultKind(StrEnum):
    """What can be broken on the bench."""

    STUCK = "stuck"
    """SWITCH: it stays where it is, wherever it is moved. VALUE: the logic sees no change of it."""
    DEAD = "dead"
    """SWITCH: its wire is off. LAMP: it does not light (the logic does not know)."""
    BOUNCING = "bouncing"
    """SWITCH: its contact rattles at each movement, for longer than debouncing can hide."""
    CONTRADICTORY = "contradictory"
    """SWITCH gear_handle: both contacts are closed. LEG: both lock switches are made."""
    HUNG = "hung"
    """LEG: it stays unlocked on its way and never locks."""
    LOST = "lost"
    """SENSOR: an aircraft value is unknown. FEED: all of them are."""
    UNPLUGGED = "unplugged"
    """BOARD: its switches are unknown and its lamps are idle."""
    FAILED = "failed"
    """SYSTEM: a pump, supply, power or anti-skid gives nothing any more."""
    LEAKING = "leaking"
    """SYSTEM: fluid or air is lost as time goes on."""
    EMPTY = "empty"
    """SYSTEM: a bottle or accumulator holds nothing."""
    JAMMED = "jammed"
    """SYSTEM: a door stays where it is."""
    STICKING = "sticking"
    """SYSTEM: a valve does not let go."""
    RUNS_ON = "runs_on"
    """SYSTEM: the auxiliary pump does not stop at its cut-out pressure."""
    DOWN_SWITCH_STUCK = "down_switch_stuck"
    """LEG: its down-lock switch is made, wherever it is."""
    DOWN_SWITCH_OPEN = "down_switch_open"
    """LEG: a wire of its down-lock switch is off."""


class SetFault(Struct, frozen=True):
    """Break something.

    Attributes:
        kind: how.
        target: a switch, lamp, leg, part of a system, aircraft value or board by name; "feed" for
            all values.
        rattles_s: of BOUNCING only: how long it rattles, s.
        lasts_s: it mends itself after this time, s; inf = it lasts.
    """

    kind: FaultKind
    target: str
    rattles_s: float = 0.0
    lasts_s: float = inf


class ClearFault(Struct, frozen=True):
    """Mend something: every fault of ``target``, or that of one kind; "all" mends everything."""

    target: str
    kind: FaultKind | None = None

    def mends(self, target: str, kind: FaultKind) -> bool:
        """Whether it mends this fault."""
        return self.target in (ALL, target) and self.kind in (None, kind)


Action = SetValues | RampValues | AddNoise | MoveSwitch | SetFault | ClearFault


class At(Struct, frozen=True):
    """At this time of the scenario."""

    time_s: float


class After(Struct, frozen=True):
    """Time after the step before began; 0 = with it, in order."""

    wait_s: float


class WaitFor(Struct, frozen=True):
    """As soon as the condition holds; not within ``limit_s`` fails and ends the scenario."""

    condition: Condition
    limit_s: float


class WaitForEvent(Struct, frozen=True):
    """As soon as the event comes; not within ``limit_s`` fails and ends the scenario.

    What comes with the actions of the step before counts.
    """

    event: EventPattern
    limit_s: float


When = At | After | WaitFor | WaitForEvent


class Step(Struct, frozen=True):
    """One step: when, then what is done, then what is expected.

    Attributes:
        when: when it begins.
        actions: done in order.
        expectations: checked or begun after the actions.
        note: for people; may be empty.
        spot: where it stands.
    """

    when: When
    actions: tuple[Action, ...]
    expectations: tuple[Expectation, ...]
    note: str
    spot: Spot


class ScenarioPlan(Struct, frozen=True):
    """A scenario, or one case of its table, ready to run.

    Attributes:
        name: of the scenario.
        case: of the case; empty without a table.
        source: the published rule it stands on; may be empty.
        path: its file.
        aircraft: the aircraft.
        panel: the panel; None when only an aircraft is named (then every switch and lamp exists).
        start: aircraft values at the start.
        start_switches: positions of switches at the start, as in ``MoveSwitch``; others: handle
            where the simulator's is, buttons released, levers at 1.
        steps: included and repeated ones are in their place.
        runs_for_s: length; at least up to the last step and the last limit, which None means.
        legs: where legs of the model are at the start: 0 locked up to 1 locked down.
    """

    name: str
    case: str
    source: str
    path: Path
    aircraft: AircraftFile
    panel: PanelFile | None
    start: AircraftState
    start_switches: Mapping[str, str | float]
    steps: tuple[Step, ...]
    runs_for_s: float | None = None
    legs: Mapping[str, float] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """Name, and case if there is one."""
        return f"{self.name} [{self.case}]" if self.case else self.name

    @property
    def first_spot(self) -> Spot:
        """Of the first step; of the file when it has none."""
        return self.steps[0].spot if self.steps else Spot(str(self.path), 1, 1)
