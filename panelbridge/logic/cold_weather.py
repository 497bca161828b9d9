"""Cold-weather routine: slush must not freeze the gear up, nor ice lock the brakes.

Common practice, no source. With the routine switched on a take-off starts a time for which the
gear is to be left down, so that the wheels throw the slush off. Before the landing the anti-skid is
to be switched off and the brakes to be pumped, so that ice breaks; then the anti-skid is to be
switched on again, and a reminder stays until it is.

"Before the landing" is: in the air with the gear locked down, but not right after the take-off; the
gear handle must have been up since then, when it might be, or the routine have been switched on in
the air. What is unknown (the switch, the handle, air or ground, the anti-skid) leaves everything as
it is; a pedal that was unknown must be let go before it counts.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.brake_deicing import BrakeDeicing
from panelbridge.logic.brake_pumping import BrakePumping
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule, Told
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import GearPosition, HornPattern, Reason, Value


class ColdWeatherParameters(Parameters):
    """Cold-weather routine."""

    leave_down_s: Annotated[float, Field(gt=0.0, le=600.0)] = 90.0
    """After a take-off the gear is to be left down for so long, s."""
    early_raise_pattern: Literal["silent", "intermittent", "continuous"] = "intermittent"
    """How the horn sounds while the gear handle is up before that."""
    brake_pumps: Annotated[int, Field(ge=1, le=20)] = 5
    """How often both brake pedals are to be pumped before the landing."""
    pedal_pressed_fraction: Annotated[float, Field(gt=0.0, lt=1.0)] = 0.6
    """A pedal above this is pressed, 0 to 1."""
    pedal_released_fraction: Annotated[float, Field(ge=0.0, lt=1.0)] = 0.2
    """A pedal at or below this is let go, 0 to 1; less than 'pedal_pressed_fraction'."""

    @model_validator(mode="after")
    def _pedal_limits_are_in_order(self) -> Self:
        if self.pedal_released_fraction >= self.pedal_pressed_fraction:
            raise PydanticCustomError(
                "pedal_limits",
                "pedal_released_fraction is {low} and must be less than pedal_pressed_fraction,"
                " {high}",
                {"low": self.pedal_released_fraction, "high": self.pedal_pressed_fraction},
            )
        return self


@dataclass(frozen=True, slots=True)
class ColdConditions:
    """All that decides its lamps and its horn.

    Attributes:
        leave_down: the gear is to be left down: the time after the take-off runs.
        handle_up: the gear handle was last known to be up.
        pump: the brakes are to be pumped with the anti-skid off.
        remind: the anti-skid is to be switched on again.
    """

    leave_down: bool = False
    handle_up: bool = False
    pump: bool = False
    remind: bool = False


_LEAVE_DOWN = Rule("gear to be left down", (("leave_down", True),), "lights the caution")
_PUMP = Rule("brakes to be pumped", (("pump", True),), "lights the caution")
_REMIND = Rule("anti-skid to be switched on again", (("remind", True),), "lights the caution")
_TOO_EARLY = Rule(
    "gear handle up too early",
    (("leave_down", True), ("handle_up", True)),
    "sounds the horn",
)
_TIMER = ("cold_weather", "leave_down")
_STATES = ("waiting", "leave_gear_down", "gear_may_be_raised", "pump_brakes", "antiskid_on", "done")


class TakeoffChart(Chart):
    """After the take-off."""

    cold_waiting = State(initial=True)
    cold_leave_down = State()
    cold_may_raise = State()

    took_off = cold_waiting.to(cold_leave_down)
    time_over = cold_leave_down.to(cold_may_raise)
    takeoff_over = cold_leave_down.to(cold_waiting) | cold_may_raise.to(cold_waiting)


class ColdWeather(System):
    """The routine.

    Args:
        parameters: its numbers.
        timers: for the time after the take-off.
        log: takes its events.
        has_antiskid: the aircraft has anti-skid; without it the brakes are pumped and that is all.
    """

    timer_prefix = "cold_weather"
    lamp_rules: Mapping[str, tuple[Rule, ...]] = {
        "leave_gear_down_amber": (_LEAVE_DOWN,),
        "pump_brakes_amber": (_PUMP,),
        "antiskid_reminder_amber": (_REMIND,),
    }
    published = (
        ValueInfo("cold_weather", "word", "cold-weather routine", "", ("off", *_STATES)),
        ValueInfo("leave_gear_down_s", "number", "leave the gear down for", "s", (), 0.0, 600.0),
        ValueInfo("brake_pumps_left", "number", "brake pumps left", "", (), 0.0, 20.0),
    )
    conditions: ColdConditions

    def __init__(
        self,
        parameters: ColdWeatherParameters,
        timers: TimerHeap,
        log: EventLog,
        *,
        has_antiskid: bool = True,
    ) -> None:
        self._parameters = parameters
        self._timers = timers
        self._log = log
        self._takeoff = TakeoffChart()
        pumping = BrakePumping(
            pressed_fraction=parameters.pedal_pressed_fraction,
            released_fraction=parameters.pedal_released_fraction,
        )
        self._brakes = BrakeDeicing(parameters.brake_pumps, pumping, log, has_antiskid=has_antiskid)
        if not has_antiskid:
            self.lamp_rules = {
                "leave_gear_down_amber": (_LEAVE_DOWN,),
                "pump_brakes_amber": (_PUMP,),
            }
        if parameters.early_raise_pattern != "silent":
            self.horn_rules = ((_TOO_EARLY, HornPattern(parameters.early_raise_pattern)),)
        self._on = False
        self._on_ground: bool | None = None
        self._handle: GearPosition | None = None
        self._antiskid: bool | None = None
        self._fresh = False  # took off, and the gear handle was not raised since, when it might be
        self._over_s = 0.0
        self.conditions = ColdConditions()

    def take_pedals(self, now_s: float, left: float | None, right: float | None) -> bool:
        """Take the brake pedals, 0 to 1, None when unknown; True when both were pumped by this."""
        return self._brakes.take_pedals(left, right)

    def update(
        self,
        now_s: float,
        *,
        cold_weather: bool | None,
        on_ground: bool | None,
        handle: GearPosition | None,
        all_down: bool,
        antiskid_on: bool | None,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            cold_weather: the routine is switched on; None when unknown.
            on_ground: the aircraft is on the ground; None when unknown.
            handle: where the gear handle stands; None when unknown.
            all_down: every leg is known to be locked down.
            antiskid_on: anti-skid is switched on; None when unknown.
        """
        was_on, was_on_ground = self._on, self._on_ground
        self._on = self._on if cold_weather is None else cold_weather
        self._on_ground = was_on_ground if on_ground is None else on_ground
        self._antiskid = self._antiskid if antiskid_on is None else antiskid_on
        was_up = self._handle is GearPosition.UP
        self._handle = handle or self._handle
        took_off = was_on_ground is True and self._on_ground is False
        is_up = self._handle is GearPosition.UP
        self._follow_takeoff(now_s, took_off=took_off)
        leave_down = self._takeoff.state_id == "cold_leave_down"
        if took_off:
            self._fresh = True
        elif self._on and not was_on:
            self._fresh = False
        if is_up and not leave_down:
            self._fresh = False
        if self._on:
            in_air = self._on_ground is False
            self._brakes.follow(
                now_s,
                on_ground=self._on_ground,
                approaching=in_air and all_down and not is_up and not self._fresh,
                handle_up=is_up,
                antiskid_on=self._antiskid,
            )
        else:
            self._brakes.switch_off()
        if leave_down and is_up and not (was_up and self.conditions.leave_down):
            self._log.note(now_s, "gear_raised_early")
        state = self._brakes.state_id
        self.conditions = ColdConditions(
            leave_down=leave_down,
            handle_up=is_up,
            pump=state == "deice_pump",
            remind=state == "deice_remind",
        )

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """The gear was left down for long enough."""
        self._takeoff.send_trigger("time_over")
        self._log.note(now_s, "gear_may_be_raised")

    def told(self) -> Told:
        """The last conditions in words."""
        conditions = self.conditions
        left = self._brakes.pumps_left
        skid = {None: "unknown", True: "on", False: "off"}[self._antiskid]
        until = f"until {self._over_s:.1f} s" if conditions.leave_down else ""
        return {
            "leave_down": (Reason("time after the take-off runs", conditions.leave_down, until),),
            "handle_up": (Reason("gear handle up", conditions.handle_up),),
            "pump": (
                Reason(
                    "brakes to be pumped before landing",
                    conditions.pump,
                    f"{left} times more, anti-skid {skid}" if conditions.pump else "",
                ),
            ),
            "remind": (
                Reason("anti-skid to be switched on again", conditions.remind, f"anti-skid {skid}"),
            ),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What it asks for, the time that is left and the pumps that are left."""
        conditions = self.conditions
        return {
            "cold_weather": self._word(),
            "leave_gear_down_s": max(self._over_s - now_s, 0.0) if conditions.leave_down else 0.0,
            "brake_pumps_left": float(self._brakes.pumps_left),
        }

    def _word(self) -> str:
        words = {
            "cold_leave_down": "leave_gear_down",
            "cold_may_raise": "gear_may_be_raised",
            "deice_pump": "pump_brakes",
            "deice_remind": "antiskid_on",
            "deice_done": "done",
        }
        for state in (self._brakes.state_id, self._takeoff.state_id):
            if state in words:
                return words[state]
        return "waiting" if self._on else "off"

    def _follow_takeoff(self, now_s: float, *, took_off: bool) -> None:
        """Start the time with the take-off; it ends with the flight or the routine."""
        chart = self._takeoff
        if took_off and self._on:
            chart.send_trigger("took_off")
            self._over_s = now_s + self._parameters.leave_down_s
            self._timers.start(_TIMER, self._over_s)
            self._log.note(
                now_s, "leave_gear_down_asked", seconds=f"{self._parameters.leave_down_s:g}"
            )
            return
        raised = chart.state_id == "cold_may_raise" and self._handle is GearPosition.UP
        over = raised or self._on_ground is True or not self._on
        if over and chart.state_id != "cold_waiting":
            chart.send_trigger("takeoff_over")
            self._timers.cancel(_TIMER)
