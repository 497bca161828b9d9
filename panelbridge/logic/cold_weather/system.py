"""Cold-weather routine: slush must not freeze the gear up, nor ice lock the brakes.

Common practice, no source. With the routine switched on a take-off starts a time for which the gear
has to stay down, so that the wheels throw the slush off. Before the landing the anti-skid has to be
switched off and the brakes pumped, so that ice breaks; then the anti-skid has to be switched on
again, and a reminder stays until it is.

"Before the landing" is: in the air with the gear locked down, but not right after the take-off; the
gear handle must have been up since then, when it might be, or the routine have been switched on in
the air. What is unknown (the switch, the handle, air or ground, the anti-skid) leaves everything as
it is; a pedal that was unknown must be released before it counts, and there must be pressure at the
brakes of both sides: ice does not break without.
"""

from __future__ import annotations

from math import inf
from typing import Self

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.cold_weather.deicing import (
    PUMP,
    REMIND,
    Approach,
    Deicing,
    DeicingChart,
    follow_approach,
)
from panelbridge.logic.cold_weather.facts import ColdWeatherFacts
from panelbridge.logic.cold_weather.parameters import ColdWeatherParameters
from panelbridge.logic.cold_weather.pedals import BrakePumping
from panelbridge.logic.cold_weather.shown import (
    TOO_EARLY,
    VALUES,
    asked_for,
    cold_lamps,
    cold_words,
)
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Group, HornRule
from panelbridge.logic.kit.handles import Toggle
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, HornPattern, Level

COLD_WEATHER = Toggle(
    "cold_weather",
    "cold-weather routine",
    "Closed: the cold-weather routine is switched on.",
    required=True,
)
WAITING, LEAVE_DOWN, MAY_RAISE = "cold_waiting", "cold_leave_down", "cold_may_raise"


class TakeoffChart(Chart):
    """After the take-off."""

    cold_waiting = State(initial=True)
    cold_leave_down = State()
    cold_may_raise = State()

    took_off = cold_waiting.to(cold_leave_down)
    time_over = cold_leave_down.to(cold_may_raise)
    takeoff_over = cold_leave_down.to(cold_waiting) | cold_may_raise.to(cold_waiting)


class _ColdWeatherMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        is_on: the routine is switched on.
        on_ground: the aircraft was last known to be on the ground.
        handle: where the gear handle last stood.
        antiskid_on: anti-skid was last known to be on.
        is_fresh: it took off, and the handle was not raised since, when it might be.
        takeoff: state of the take-off chart.
        over_s: when the time after the take-off is over, s.
        is_ready: both pedals were released.
        deicing: the pumping and the reminder.
    """

    is_on: bool = False
    on_ground: bool | None = None
    handle: GearPosition | None = None
    antiskid_on: bool | None = None
    is_fresh: bool = False
    takeoff: str = WAITING
    over_s: float = 0.0
    is_ready: bool = False
    deicing: Deicing = Deicing()


class ColdWeather(System[ColdWeatherFacts]):
    """The routine.

    Args:
        parameters: its numbers.
        has_antiskid: the aircraft has anti-skid; without it only the pumping is asked for.
        has_brakes: the aircraft file has brakes; without it the pedals alone count.
    """

    title = "Cold weather"
    groups = (
        Group(
            "cold_weather",
            ColdWeatherParameters,
            "Routine for take-off and landing in slush; null for none.",
        ),
    )
    charts = (TakeoffChart, DeicingChart)
    events = {
        "leave_gear_down_asked": (Level.CAUTION, "keep the gear down for {seconds} s"),
        "gear_raised_early": (
            Level.WARNING,
            "the gear handle was raised before its time: lower the gear",
        ),
        "gear_may_be_raised": (Level.INFO, "the gear was down for long enough: it may be raised"),
        "brake_pumping_asked": (
            Level.CAUTION,
            "before landing: {first}pump the brakes {count} times",
        ),
        "brakes_pumped": (Level.CAUTION, "the brakes were pumped{then}"),
        "antiskid_switched_on_again": (Level.INFO, "anti-skid was switched on again"),
    }
    switches = (COLD_WEATHER,)
    values = VALUES
    memory: _ColdWeatherMemory

    def __init__(
        self,
        parameters: ColdWeatherParameters,
        *,
        has_antiskid: bool = True,
        has_brakes: bool = True,
    ) -> None:
        super().__init__()
        self._parameters = parameters
        self._has_antiskid = has_antiskid
        self._pumping = BrakePumping(
            parameters.pedal_pressed_fraction,
            parameters.pedal_released_fraction,
            has_brakes=has_brakes,
        )
        self.readings = self._pumping.readings
        self.lamps = cold_lamps(has_antiskid=has_antiskid)
        if parameters.early_raise_pattern != "silent":
            self.horn = (HornRule(TOO_EARLY, HornPattern(parameters.early_raise_pattern)),)
        self.facts, self.memory = ColdWeatherFacts(), _ColdWeatherMemory()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without the routine."""
        aircraft = build.aircraft
        parameters = aircraft.optional(ColdWeatherParameters)
        if parameters is None:
            return None
        return cls(
            parameters,
            has_antiskid=aircraft.optional(AntiskidParameters) is not None,
            has_brakes=aircraft.optional(BrakesParameters) is not None,
        )

    def update(self, now_s: float, world: World) -> ColdWeatherFacts:
        """Follow the take-off and the approach."""
        before, gear = self.memory, world[GearFacts]
        on_ground, switch = world[AirGroundFacts].on_ground, world[COLD_WEATHER]
        antiskid_on = world[ANTISKID] if self._has_antiskid else None
        is_ready, pumped = self._pumping.take(before.is_ready, world)
        memory = replace(
            before,
            is_on=before.is_on if switch is None else switch,
            on_ground=before.on_ground if on_ground is None else on_ground,
            antiskid_on=before.antiskid_on if antiskid_on is None else antiskid_on,
            handle=gear.handle or before.handle,
            is_ready=is_ready,
        )
        took_off = before.on_ground is True and memory.on_ground is False
        is_up = memory.handle is GearPosition.UP
        memory = self._follow_takeoff(now_s, memory, took_off=took_off)
        leave_down = memory.takeoff == LEAVE_DOWN
        switched_on = memory.is_on and not before.is_on
        fresh = took_off or (memory.is_fresh and not switched_on)
        fresh = fresh and not (is_up and not leave_down)
        memory = replace(memory, is_fresh=fresh)
        flies_down = memory.on_ground is False and gear.all_down and not is_up
        approach = Approach(
            on_ground=memory.on_ground,
            approaching=flies_down and not fresh,
            handle_up=is_up,
            antiskid_on=memory.antiskid_on,
            pumped=pumped,
        )
        memory = replace(memory, deicing=self._deice(now_s, memory, approach))
        was_up = before.handle is GearPosition.UP
        if leave_down and is_up and not (was_up and before.takeoff == LEAVE_DOWN):
            self.note(now_s, "gear_raised_early")
        self.memory = memory
        self.due_s = memory.over_s if leave_down else inf
        return self._conclude(memory)

    def _deice(self, now_s: float, memory: _ColdWeatherMemory, approach: Approach) -> Deicing:
        if not memory.is_on:
            return memory.deicing.after("switched_off")
        return follow_approach(
            memory.deicing,
            approach,
            pumps=self._parameters.brake_pumps,
            has_antiskid=self._has_antiskid,
            note=lambda name, **words: self.note(now_s, name, **words),
        )

    def _follow_takeoff(
        self, now_s: float, memory: _ColdWeatherMemory, *, took_off: bool
    ) -> _ColdWeatherMemory:
        """Start the time with the take-off; it ends with the flight or the routine."""
        state = memory.takeoff
        if state == LEAVE_DOWN and now_s >= memory.over_s:
            state = TakeoffChart.after(state, "time_over")
            self.note(now_s, "gear_may_be_raised")
        if took_off and memory.is_on:
            leave_s = self._parameters.leave_down_s
            self.note(now_s, "leave_gear_down_asked", seconds=f"{leave_s:g}")
            state = TakeoffChart.after(state, "took_off")
            return replace(memory, takeoff=state, over_s=now_s + leave_s)
        raised = state == MAY_RAISE and memory.handle is GearPosition.UP
        if raised or memory.on_ground is True or not memory.is_on:
            state = TakeoffChart.after(state, "takeoff_over")
        return replace(memory, takeoff=state)

    def _conclude(self, memory: _ColdWeatherMemory) -> ColdWeatherFacts:
        leave_down = memory.takeoff == LEAVE_DOWN
        leave_s, deicing = self._parameters.leave_down_s, memory.deicing
        pump = deicing.state == PUMP
        return ColdWeatherFacts(
            leave_down=leave_down,
            handle_up=memory.handle is GearPosition.UP,
            pump=pump,
            remind=deicing.state == REMIND,
            left_s=Line(memory.over_s, 0.0, -1.0, 0.0, leave_s) if leave_down else Line(),
            pumps_left=self._parameters.brake_pumps - deicing.done if pump else 0,
            antiskid_on=memory.antiskid_on,
            word=asked_for((deicing.state, memory.takeoff), is_on=memory.is_on),
        )

    def words(self, world: World) -> Words:
        """The conditions in words."""
        return cold_words(world[ColdWeatherFacts])
