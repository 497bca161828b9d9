"""What the tests of the logic are built from: an aircraft, its states, and a bench to step it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

from msgspec.structs import replace

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.gear.parameters import LegParameters
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.systems import SWITCHES
from panelbridge.signals import (
    AircraftState,
    Event,
    GearPosition,
    HandleContacts,
    LegLocks,
    LegState,
    Outputs,
    StepResult,
    SwitchState,
)

UP, DOWN = GearPosition.UP, GearPosition.DOWN
LOCKED_DOWN = LegLocks(up_locked=False, down_locked=True)
LOCKED_UP = LegLocks(up_locked=True, down_locked=False)
FREE = LegLocks(up_locked=False, down_locked=False)
BOTH_MADE = LegLocks(up_locked=True, down_locked=True)
NOT_KNOWN = LegLocks()

LEG_NAMES = ("nose", "left", "right")
OPEN = 0.8
CLOSED = 0.1

T = TypeVar("T", AircraftState, SwitchState)
# A moment of a script: when, and what the switches and the aircraft are from then on.
Moment = tuple[float, SwitchState, AircraftState]


def legs() -> list[LegParameters]:
    """Three legs, each with times of its own."""
    return [
        LegParameters(name="nose", unlock_s=0.5, extend_s=6.0, retract_s=7.0),
        LegParameters(name="left", unlock_s=0.6, extend_s=6.5, retract_s=7.5),
        LegParameters(name="right", unlock_s=0.7, extend_s=6.8, retract_s=8.0),
    ]


def twin(**changes: object) -> AircraftParameters:
    """An aircraft with two engines and three legs; groups are given as plain mappings."""
    plain = {
        "name": "Test twin",
        "engines": 2,
        "legs": [leg.model_dump() for leg in legs()],
        **changes,
    }
    return AircraftParameters.model_validate(plain)


def fed_twin(**changes: object) -> AircraftParameters:
    """The same, with the feed as the authority for the legs."""
    return twin(authority={"legs": "feed"}, **changes)


def air(
    throttles: Sequence[float | None] = (OPEN, OPEN), flap_deg: float | None = 0.0, **more: Any
) -> AircraftState:
    """Flying: no strut is compressed."""
    return AircraftState(
        throttle_fraction=tuple(throttles),
        flap_deg=flap_deg,
        **{"strut_compressed": (False, False, False), **more},
    )


def ground(
    throttles: Sequence[float | None] = (OPEN, OPEN), flap_deg: float | None = 0.0, **more: Any
) -> AircraftState:
    """Standing on all struts."""
    return air(throttles, flap_deg, **{"strut_compressed": (True, True, True), **more})


def switches(handle: str | HandleContacts = "down", **more: Any) -> SwitchState:
    """The panel with its handle at ``handle`` and no button pressed."""
    assert set(more) <= set(SWITCHES), "a switch that does not exist"
    return SwitchState(
        **{
            "gear_handle": HandleContacts(handle),
            "horn_silence": False,
            "lamp_test": False,
            "warning_test": False,
            "steering_button": False,
            "dimmer": 1.0,
            **more,
        }
    )


def changed(state: T, **changes: Any) -> T:
    """The state with some of its values changed."""
    if isinstance(state, AircraftState):
        return replace(state, **changes)
    assert set(changes) <= set(SWITCHES), "a switch that does not exist"
    return state.having(**changes)


class Bench:
    """Steps a logic and keeps what came of it.

    Args:
        parameters: the aircraft.
        handle_travel_s: longest time of the handle between its contacts, s.
    """

    def __init__(
        self, parameters: AircraftParameters | None = None, *, handle_travel_s: float = 1.0
    ) -> None:
        self.logic = PanelLogic(parameters or twin(), PanelNumbers(handle_travel_s))
        self.now_s = 0.0
        self.switches = SwitchState()
        self.aircraft = AircraftState()
        self.events: list[Event] = []
        self.history: list[tuple[float, Outputs]] = []
        self.result = StepResult()

    def at(
        self,
        now_s: float,
        switches: SwitchState | None = None,
        aircraft: AircraftState | None = None,
    ) -> StepResult:
        """One step; what is not given stays as it was."""
        self.now_s = now_s
        self.switches = switches or self.switches
        self.aircraft = aircraft or self.aircraft
        self.result = self.logic.step(now_s, self.switches, self.aircraft)
        self.events.extend(self.result.events)
        self.history.append((now_s, self.result.outputs))
        return self.result

    def after(
        self,
        step_s: float,
        switches: SwitchState | None = None,
        aircraft: AircraftState | None = None,
    ) -> StepResult:
        """One step, so much later than the last."""
        return self.at(self.now_s + step_s, switches, aircraft)

    def press(self, name: str) -> StepResult:
        """Press and let go a button, 10 ms each, the logic looking on."""
        self.after(0.01, changed(self.switches, **{name: True}))
        return self.after(0.01, changed(self.switches, **{name: False}))

    def throttles(self, *fractions: float | None, settle_s: float = 0.5) -> StepResult:
        """Move the levers and wait until they have settled."""
        self.after(0.01, aircraft=changed(self.aircraft, throttle_fraction=fractions))
        return self.after(settle_s)

    def play(self, script: Iterable[Moment]) -> Bench:
        """Step once at every moment of a script."""
        for now_s, panel, state in script:
            self.at(now_s, panel, state)
        return self

    def play_at(self, script: Sequence[Moment], rate_hz: int, end_s: float) -> Bench:
        """Step through a script at a rate; moments between two ticks get a step of their own."""
        ticks = [number / rate_hz for number in range(int(end_s * rate_hz) + 1)]
        times = sorted({*ticks, *(moment[0] for moment in script)})
        waiting = list(script)
        for now_s in times:
            if waiting and waiting[0][0] == now_s:
                _, panel, state = waiting.pop(0)
                self.at(now_s, panel, state)
            else:
                self.at(now_s)
        return self

    @property
    def names(self) -> list[str]:
        """Names of all events so far."""
        return [event.name for event in self.events]

    @property
    def logged(self) -> list[tuple[float, str, str]]:
        """Time (to the microsecond), name and subject of all events so far."""
        return [(round(h.time_s, 6), h.name, h.subject) for h in self.events]

    def take_names(self) -> list[str]:
        """Names of all events since this was last called."""
        names = self.names
        self.events.clear()
        return names

    @property
    def horn(self) -> str:
        """How the horn sounds."""
        return self.result.outputs.horn.value

    @property
    def command(self) -> str:
        """What is asked of the simulator's gear: up, down or nothing."""
        gear = self.result.commands.gear
        return "nothing" if gear is None else gear.value

    @property
    def lit(self) -> set[str]:
        """The lamps that are lit."""
        return {name for name, level in self.result.outputs.lamps.items() if level > 0}

    @property
    def greens(self) -> set[str]:
        """Legs whose green is lit."""
        return {leg for leg in LEG_NAMES if f"{leg}_green" in self.lit}

    @property
    def reds(self) -> set[str]:
        """Legs whose red is lit."""
        return {leg for leg in LEG_NAMES if f"{leg}_red" in self.lit}

    @property
    def leg_states(self) -> list[LegState]:
        """State of every leg."""
        return [leg.state for leg in self.logic.view().legs]

    @property
    def all_locked_down(self) -> bool:
        return set(self.leg_states) == {LegState.DOWN_LOCKED}

    @property
    def all_locked_up(self) -> bool:
        return set(self.leg_states) == {LegState.UP_LOCKED}


def flying_gear_up(parameters: AircraftParameters | None = None, **more: Any) -> Bench:
    """A bench that was found in the air with the gear locked up and the handle up."""
    bench = Bench(parameters)
    bench.at(0.0, switches("up"), air(gear_handle=UP, **more))
    bench.at(1.0)
    bench.events.clear()
    return bench


def flying_gear_down(parameters: AircraftParameters | None = None, **more: Any) -> Bench:
    """A bench that was found in the air with the gear locked down and the handle down."""
    bench = Bench(parameters)
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, **more))
    bench.at(1.0)
    bench.events.clear()
    return bench


def on_ground(parameters: AircraftParameters | None = None, **more: Any) -> Bench:
    """A bench that was found on the ground with the handle down."""
    bench = Bench(parameters)
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN, **more))
    bench.at(1.0)
    bench.events.clear()
    return bench
