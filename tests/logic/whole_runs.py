"""Random runs of whole aircraft: all switches, all values, all faults, lost data, lost boards."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import nan
from typing import Any

from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import faults_of, lamps_of, systems_of
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.switches import LEVERS
from panelbridge.logic.systems import SWITCHES
from panelbridge.signals import (
    AircraftState,
    Event,
    GearPosition,
    HandleContacts,
    HornPattern,
    LegLocks,
    LogicView,
    StepResult,
    SwitchState,
)
from tests.logic.whole_aircraft import JET, TURBOPROP

UP, DOWN = GearPosition.UP, GearPosition.DOWN


class Move(Struct, frozen=True):
    """What changes at one instant.

    Attributes:
        switches: fields of ``SwitchState`` that change.
        aircraft: fields of ``AircraftState`` that change.
        fault: a part to break and how; None mends it.
        board: False = the boards are lost, True = they are back; None = as they were.
        feed: the same of the feed.
    """

    switches: Mapping[str, Any] = ()  # type: ignore[assignment]
    aircraft: Mapping[str, Any] = ()  # type: ignore[assignment]
    fault: tuple[str, str | None] | None = None
    board: bool | None = None
    feed: bool | None = None

    def __repr__(self) -> str:
        parts = [
            f"{name}={getattr(self, name)!r}"
            for name in self.__struct_fields__
            if getattr(self, name) not in ((), None)
        ]
        return f"Move({', '.join(parts)})"


Moves = Sequence[tuple[float, Move]]
"""How long after the last one each move comes, s, and what it is."""

# -- what can be drawn ----------------------------------------------------------------------------

WAITS = st.sampled_from([0.0, 0.0, 0.003, 0.05, 0.11, 0.31, 1.0, 1.0, 3.0, 6.0, 11.0, 26.0])
FRACTIONS = st.sampled_from([None, nan, 0.0, 0.04, 0.1, 0.29, 0.31, 0.5, 0.8, 0.9, 1.0])
MAYBE = st.sampled_from([None, False, True])
PEDALS = st.tuples(FRACTIONS, FRACTIONS) | st.sampled_from([(), (0.0, 0.0), (1.0, 1.0)])
_BUTTONS = tuple(name for name in SWITCHES if name not in ("gear_handle", *LEVERS))
RPM = st.sampled_from([None, nan, 0.0, 60.0, 120.0, 400.0, 900.0])


def _aircraft_fields(aircraft: AircraftParameters) -> Mapping[str, st.SearchStrategy[Any]]:
    """Every field of the aircraft's values, with values on both sides of the limits."""
    legs, engines = len(aircraft.legs), aircraft.engines
    wheels = 0 if aircraft.brakes is None else len(aircraft.brakes.wheels)

    def each(one: st.SearchStrategy[Any], count: int) -> st.SearchStrategy[Any]:
        alike = one.map(lambda value: (value,) * count)
        return alike | alike | st.tuples(*[one] * count) | st.just(())

    ends = st.sampled_from([LegLocks(True, False), LegLocks(False, True), LegLocks(False, False)])
    return {
        "airspeed_kias": st.sampled_from([None, nan, 0.0, 60.0, 139.0, 165.0, 185.0, 210.0, 260.0]),
        "altitude_ft": st.sampled_from([None, nan, 0.0, 9500.0, 11000.0, 13000.0]),
        "ground_speed_kt": st.sampled_from([None, nan, 0.0, 12.0, 30.0, 55.0, 120.0]),
        "throttle_fraction": each(FRACTIONS, engines),
        "flap_deg": st.sampled_from([None, nan, 0.0, 10.0, 20.0, 20.5, 40.0]),
        "speed_brake_fraction": st.sampled_from([None, nan, 0.0, 0.05, 0.06, 1.0]),
        "trim_units": st.sampled_from([None, nan, -3.0, 1.0, 4.5]),
        "mass_kg": st.sampled_from([None, nan, 0.0, 5000.0, 9000.0]),
        "strut_compressed": each(MAYBE, legs),
        "leg_locks": each(ends | st.builds(LegLocks, MAYBE, MAYBE), legs),
        "gear_handle": st.sampled_from([None, UP, DOWN]),
        "hydraulic_pressure_psi": st.sampled_from([None, nan, -5.0, 0.0, 1200.0, 1600.0, 2900.0]),
        "engine_running": each(MAYBE, engines),
        "bus_powered": st.sampled_from([None, True, True, False]),
        "bus_voltage_v": st.sampled_from([None, nan, 0.0, 12.0, 15.1, 18.0, 24.0, 28.0]),
        "wheel_speed_rpm": each(RPM, wheels),
        "brake_pedal_fraction": PEDALS,
        "steering_pedal_fraction": st.sampled_from([None, nan, -1.0, -0.4, 0.0, 0.02, 0.6, 1.0]),
        "brake_pressure_psi": st.sampled_from([(), (0.0, 0.0), (30.0, 900.0), (None, 41.0)]),
        "antiskid_working": each(MAYBE, wheels),
    }


def scenes(aircraft: AircraftParameters) -> Mapping[str, Move]:
    """Moves that belong together, so that runs get to where it matters."""
    legs, engines = len(aircraft.legs), aircraft.engines
    wheels = 0 if aircraft.brakes is None else len(aircraft.brakes.wheels)
    free = dict.fromkeys(_BUTTONS, False)
    rest = {"tiller": 0.5, "parking_brake": 0.0, "dimmer": 1.0}
    pedals = {
        "emergency_brake": 0.0,
        "left_brake": 0.0,
        "right_brake": 0.0,
    }
    still = {
        "brake_pedal_fraction": (0.0, 0.0),
        "steering_pedal_fraction": 0.0,
        "flap_deg": 0.0,
        "altitude_ft": 0.0,
        "bus_powered": True,
        "engine_running": (True,) * engines,
        "antiskid_working": (True,) * wheels,
        "hydraulic_pressure_psi": 2900.0,
        "throttle_fraction": (0.5,) * engines,
    }
    in_air = {
        "strut_compressed": (False,) * legs,
        "airspeed_kias": 120.0,
        "ground_speed_kt": 110.0,
        "wheel_speed_rpm": (0.0,) * wheels,
    }
    on_ground = {
        "strut_compressed": (True,) * legs,
        "airspeed_kias": 0.0,
        "ground_speed_kt": 10.0,
        "wheel_speed_rpm": (300.0,) * wheels,
    }
    hands = {"gear_handle": HandleContacts.DOWN, **free, **rest, **pedals}
    down_locks = {"leg_locks": (LegLocks(False, True),) * legs, "gear_handle": DOWN}
    up_locks = {"leg_locks": (LegLocks(True, False),) * legs, "gear_handle": UP}
    return {
        "parked": Move(hands, {**still, **on_ground, **down_locks}),
        "gear up": Move(
            {**hands, "gear_handle": HandleContacts.UP}, {**still, **in_air, **up_locks}
        ),
        "approach": Move(hands, {**still, **in_air, **down_locks}),
        "lift off": Move({}, in_air),
        "touch down": Move({}, on_ground),
        "handle up": Move({"gear_handle": HandleContacts.UP}),
        "handle down": Move({"gear_handle": HandleContacts.DOWN}),
        "levers closed": Move({}, {"throttle_fraction": (0.1,) * engines}),
        "levers open": Move({}, {"throttle_fraction": (0.8,) * engines}),
        "engines off": Move({}, {"engine_running": (False,) * engines}),
        "engines on": Move({}, {"engine_running": (True,) * engines}),
        "hands off": Move({**free, **rest, **pedals}),
        "parking brake set": Move({"parking_brake": 1.0}),
        "bus off": Move({}, {"bus_powered": False}),
        "bus on": Move({}, {"bus_powered": True}),
    }


STARTS = ("parked", "gear up", "approach")


def single_moves(
    aircraft: AircraftParameters,
    *,
    leave: Iterable[str] = (),
    faults: bool = True,
    lost: bool = True,
) -> st.SearchStrategy[Move]:
    """One thing that happens to the panel.

    Args:
        aircraft: its numbers.
        leave: fields of switches and aircraft that stay as they are.
        faults: parts can break.
        lost: boards and the feed can be lost.
    """
    left = frozenset(leave)

    def without(move: Move) -> Move:
        return replace(
            move,
            switches={k: v for k, v in dict(move.switches).items() if k not in left},
            aircraft={k: v for k, v in dict(move.aircraft).items() if k not in left},
        )

    own = aircraft.own_switches
    switch = [
        st.builds(lambda value, name=name: Move({name: value}), values)
        for names, values in (
            (_BUTTONS, MAYBE),
            (LEVERS, FRACTIONS),
            *[((n,), FRACTIONS if o.kind == "lever" else MAYBE) for n, o in own.items()],
        )
        for name in names
        if name not in left
    ]
    switch.append(st.sampled_from(HandleContacts).map(lambda c: Move({"gear_handle": c})))
    value = [
        st.builds(lambda value, name=name: Move({}, {name: value}), values)
        for name, values in _aircraft_fields(aircraft).items()
        if name not in left
    ]
    made = scenes(aircraft)
    scene = st.sampled_from(sorted(made)).map(lambda name: without(made[name]))
    several = [st.one_of(switch), st.one_of(switch), st.one_of(value), scene, scene]
    if faults:
        kinds = [
            (part, kind)
            for part, all_kinds in faults_of(aircraft).items()
            for kind in (*(str(one) for one in all_kinds), None)
        ]
        if kinds:
            several.append(st.sampled_from(kinds).map(lambda fault: Move(fault=fault)))
    if lost:
        several.append(
            st.sampled_from(
                [Move(board=False), Move(board=True), Move(feed=False), Move(feed=True)]
            )
        )
    return st.one_of(several)


def moves_of(
    aircraft: AircraftParameters,
    *,
    least: int = 4,
    most: int = 26,
    start: bool = True,
    leave: Iterable[str] = (),
    faults: bool = True,
    lost: bool = True,
) -> st.SearchStrategy[Moves]:
    """A run: it begins somewhere sensible, then anything happens.

    Args:
        aircraft: its numbers.
        least: fewest moves.
        most: most moves.
        start: begin as one of ``STARTS``, else unknown.
        leave: see ``single_moves``.
        faults: see ``single_moves``.
        lost: see ``single_moves``.
    """
    made = scenes(aircraft)
    one = single_moves(aircraft, leave=leave, faults=faults, lost=lost)
    rest = st.lists(st.tuples(WAITS, one), min_size=least, max_size=most)
    if not start:
        return rest
    begin = st.sampled_from(STARTS).map(lambda name: (0.0, made[name]))
    return st.builds(lambda first, more: [first, *more], begin, rest)


# -- to run it ------------------------------------------------------------------------------------


class Run:
    """A whole panel that is stepped, and looked at after each step.

    Args:
        aircraft: its numbers.
        look: called after each step.
    """

    def __init__(
        self, aircraft: AircraftParameters, look: Callable[[Run], None] | None = None
    ) -> None:
        self.parameters = aircraft
        self.logic = PanelLogic(aircraft)
        self.now_s = 0.0
        self.panel, self.state = SwitchState(), AircraftState()
        self.has_board = self.has_feed = True
        self.result = StepResult()
        self.events: list[Event] = []
        self.faults: dict[str, str] = {}
        self.lamp_names = tuple(lamps_of(aircraft))
        self.published = tuple(one for system in systems_of(aircraft) for one in system.values)
        self._nothing = (SwitchState(), AircraftState())
        self._look = look
        self.step(0.0)

    @property
    def switches(self) -> SwitchState:
        """The switches as the logic sees them."""
        return self.panel if self.has_board else self._nothing[0]

    @property
    def aircraft(self) -> AircraftState:
        """The aircraft as the logic sees it."""
        return self.state if self.has_feed else self._nothing[1]

    @property
    def view(self) -> LogicView:
        """The inside."""
        return self.logic.view()

    @property
    def powered(self) -> bool:
        return self.aircraft.bus_powered is not False

    @property
    def tested(self) -> bool:
        """A test lies over the lamps."""
        return self.switches.get("lamp_test") is True or self.switches.get("warning_test") is True

    @property
    def horn_sounds(self) -> bool:
        return self.result.outputs.horn is not HornPattern.SILENT

    @property
    def lit(self) -> set[str]:
        return {name for name, level in self.result.outputs.lamps.items() if level}

    def step(self, now_s: float) -> StepResult:
        """One step, nothing changes."""
        self.now_s = now_s
        self.result = self.logic.step(now_s, self.switches, self.aircraft)
        self.events.extend(self.result.events)
        if self._look is not None:
            self._look(self)
        return self.result

    def wait(self, wait_s: float, *, by_due: bool = True) -> None:
        """Let time go by, with a step whenever the logic wants one."""
        end_s = self.now_s + wait_s
        while by_due and self.logic.next_due_s < end_s:
            self.step(self.logic.next_due_s)
        if wait_s:
            self.step(end_s)

    def take(self, move: Move) -> None:
        """Take what changes, without a step."""
        if move.switches:
            own = {name for kind in (JET, TURBOPROP) for name in kind["own_switches"]}
            known = {*SWITCHES, *own, *self.parameters.own_switches}
            assert set(move.switches) <= known, "a switch that does not exist"
            self.panel = self.panel.having(**move.switches)
        if move.aircraft:
            self.state = replace(self.state, **move.aircraft)
        if move.board is not None:
            self.has_board = move.board
        if move.feed is not None:
            self.has_feed = move.feed
        if move.fault is not None:
            part, kind = move.fault
            self.logic.set_fault(self.now_s, part, kind)
            self.faults.pop(part, None)
            if kind is not None:
                self.faults[part] = kind

    def move(self, wait_s: float, move: Move, *, by_due: bool = True) -> StepResult:
        """Wait, change, step."""
        self.wait(wait_s, by_due=by_due)
        self.take(move)
        return self.step(self.now_s)

    def play(self, moves: Moves) -> Run:
        """All moves of a run."""
        for wait_s, move in moves:
            self.move(wait_s, move)
        return self

    @property
    def logged(self) -> list[tuple[float, str, str]]:
        """Time to the microsecond, name and subject of all events."""
        return [(round(h.time_s, 6), h.name, h.subject) for h in self.events]


def began(kind: AircraftParameters, start: str, look: Callable[[Run], None] | None = None) -> Run:
    """A run that has settled in one of ``STARTS``."""
    run = Run(kind, look)
    run.move(0.0, scenes(kind)[start])
    run.wait(4.0)
    return run
