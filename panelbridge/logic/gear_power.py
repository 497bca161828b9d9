"""What moves the legs: the aircraft's hydraulics, a power pack of its own, or nothing to speak of.

* It runs while any leg or door is not where it was commanded, and stops only when every limit
  switch that ends the movement is made (FAA Airplane Flying Handbook, older ed. p. 11-10).
* A movement that has not ended within the travel limit is cut off: latched until the reset, though
  the leg should lock by itself (US Army TM 55-1510-222-10: a relay opens after 14 s).
* Turned round in transit it first rests for the reversal's delay (US Navy P-307: one second).
* Without pressure or bus power it stands still; the legs stay where they are and go on later.

Up-locks can be hooks, or pressure that is shut in (US Army TM 55-1510-222-10). Shut-in pressure
holds the legs for a time after the power has gone, then they leave their up-locks. Down-locks never
need any (14 CFR 23.729(b), before 2017), so nothing here has to do with them.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.pressed_anew import PressedAnew
from panelbridge.logic.rule import Rule, Told
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import GearPosition, Reason, Value


class GearPowerParameters(Parameters):
    """What moves the legs."""

    power: Literal["hydraulic", "electric_pack", "none_needed"] = "none_needed"
    """The aircraft's hydraulics (they must serve the gear), an electric power pack of the gear's
    own (it needs bus power), or a gear that always moves."""
    flow_l_per_s: Annotated[float, Field(ge=0.0, le=10.0)] = 0.15
    """What the moving gear takes from the aircraft's hydraulics, litres a second."""
    travel_limit_s: Annotated[float, Field(gt=0.0, le=120.0)] | None = None
    """A movement that takes longer than this is cut off until the reset, s; null for no limit. US
    Army TM 55-1510-222-10 has 14 s. A gear that needs no power has none."""
    reversal_delay_s: Annotated[float, Field(ge=0.0, le=10.0)] = 0.0
    """Rest before a movement is turned round, s. US Navy P-307 has 1 s."""
    uplocks: Literal["mechanical", "pressure"] = "mechanical"
    """What holds the legs up: hooks, or pressure, without which they leave their up-locks."""
    uplock_hold_s: Annotated[float, Field(ge=0.0, le=3600.0)] = 60.0
    """For how long shut-in pressure holds the legs up after the power has gone, s."""


@dataclass(frozen=True, slots=True)
class GearPowerConditions:
    """All that decides the lamp.

    Attributes:
        wanted: a leg or door is not where it was commanded.
        supplied: there is pressure or bus power, and it is not broken.
        cut_off: the travel limit has passed and was not reset.
    """

    wanted: bool
    supplied: bool
    cut_off: bool


_CUT_OFF = Rule(
    "gear power cut off by its travel limit",
    (("cut_off", True),),
    "until the reset, US Army TM 55-1510-222-10",
)
_NO_POWER = Rule(
    "gear commanded and no power for it",
    (("wanted", True), ("supplied", False)),
    "the legs stay where they are",
)


class GearPowerChart(Chart):
    """What moves the legs."""

    gearpower_idle = State(initial=True)
    gearpower_running = State()
    gearpower_resting = State()
    gearpower_unsupplied = State()
    gearpower_cut_off = State()

    run = (
        gearpower_idle.to(gearpower_running)
        | gearpower_resting.to(gearpower_running)
        | gearpower_unsupplied.to(gearpower_running)
    )
    stop = (
        gearpower_running.to(gearpower_idle)
        | gearpower_resting.to(gearpower_idle)
        | gearpower_unsupplied.to(gearpower_idle)
    )
    rest = gearpower_running.to(gearpower_resting)
    starve = (
        gearpower_idle.to(gearpower_unsupplied)
        | gearpower_running.to(gearpower_unsupplied)
        | gearpower_resting.to(gearpower_unsupplied)
    )
    cut = gearpower_running.to(gearpower_cut_off)
    reset = gearpower_cut_off.to(gearpower_idle)


_WORDS = tuple(state.id.removeprefix("gearpower_") for state in GearPowerChart.states)
_LIMIT = ("gear_power", "limit")
_REST = ("gear_power", "rest")
_HOLD = ("gear_power", "hold")


class GearPower(System):
    """What moves the legs.

    Args:
        parameters: its numbers.
        timers: for the travel limit, the reversal and shut-in pressure.
        log: takes its events.
    """

    timer_prefix = "gear_power"
    conditions: GearPowerConditions

    def __init__(self, parameters: GearPowerParameters, timers: TimerHeap, log: EventLog) -> None:
        self._parameters = parameters
        self._timers = timers
        self._log = log
        self._chart = GearPowerChart()
        self._reset = PressedAnew()
        self._demand: GearPosition | None = None
        self._failed = False
        self._needs_power = parameters.power != "none_needed"
        self._limit_s = parameters.travel_limit_s if self._needs_power else None
        self._source = "unknown"
        self.conditions = GearPowerConditions(wanted=False, supplied=True, cut_off=False)
        self.holds_up = True
        """Legs that are up are held there: by hooks, or by pressure."""
        self.published = (ValueInfo("gear_power", "word", "power of the gear", words=_WORDS),)
        if self._needs_power:
            self.lamp_rules = {"gear_power_amber": (_CUT_OFF, _NO_POWER)}
            self.fault_kinds = {"gear_power": ("failed",)}

    @property
    def drives(self) -> bool:
        """It drives the legs now; one that needs no power does so but while it is turned round."""
        if self._needs_power:
            return self.is_running
        return self._chart.state_id != "gearpower_resting"

    @property
    def is_running(self) -> bool:
        """The motor or the valve is on."""
        return self._chart.state_id == "gearpower_running"

    def update(
        self,
        now_s: float,
        *,
        demand: GearPosition | None,
        at_end: bool | None,
        hydraulic: bool | None = None,
        bus_powered: bool | None = None,
        gear_reset: bool | None = None,
        emergency: bool = False,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            demand: where the legs are commanded; None while nothing is.
            at_end: every limit switch of that end is made; None when unknown, which moves nothing.
            hydraulic: the hydraulics serve the gear; None when unknown, which moves nothing.
            bus_powered: the bus has power; unknown counts as powered.
            gear_reset: the gear's reset button is pressed; None when unknown.
            emergency: an emergency extension drives the legs: the normal power is shut off.
        """
        if self._reset.take(gear_reset) and self._chart.state_id == "gearpower_cut_off":
            self._chart.send_trigger("reset")
            self._log.note(now_s, "gear_power_reset")
        supplied = not self._failed and self._has_source(hydraulic, bus_powered)
        wanted = demand is not None and at_end is False and not emergency
        turned = demand is not self._demand
        self._demand = demand
        delay_s = self._parameters.reversal_delay_s
        if (
            turned
            and delay_s
            and self._chart.state_id in ("gearpower_running", "gearpower_resting")
        ):
            self._send(now_s, "rest")
            self._timers.start(_REST, now_s + delay_s)
        self._settle(now_s, wanted=wanted, supplied=supplied)
        cut_off = self._chart.state_id == "gearpower_cut_off"
        if (wanted, supplied, cut_off) != (
            self.conditions.wanted,
            self.conditions.supplied,
            self.conditions.cut_off,
        ):
            self.conditions = GearPowerConditions(wanted, supplied, cut_off)
        self._hold(now_s, pressure=supplied and not cut_off)

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """The movement took too long, the rest is over, or shut-in pressure has gone."""
        if name == _LIMIT:
            self._chart.send_trigger("cut")
            self._log.note(now_s, "gear_power_cut_off")
        elif name == _HOLD:
            self.holds_up = False
            self._log.note(now_s, "gear_up_pressure_lost")

    def told(self) -> Told:
        """The last conditions in words."""
        conditions, limit_s = self.conditions, self._limit_s
        limit = "no travel limit" if limit_s is None else f"travel limit {limit_s:g} s"
        return {
            "wanted": (Reason("leg or door not where commanded", conditions.wanted),),
            "supplied": (Reason("power for the gear", conditions.supplied, self._source),),
            "cut_off": (Reason("gear power cut off", conditions.cut_off, limit),),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What it does."""
        return {"gear_power": self._chart.state_id.removeprefix("gearpower_")}

    def faults(self) -> tuple[str, ...]:
        """Cut off by its limit."""
        cut_off = self.conditions.cut_off
        return ("the gear's power was cut off by its travel limit",) if cut_off else ()

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Break it, or mend it."""
        self._failed = kind is not None

    def _has_source(self, hydraulic: bool | None, bus_powered: bool | None) -> bool:
        if self._parameters.power == "hydraulic":
            self._source = {True: "hydraulics", False: "no pressure", None: "unknown"}[hydraulic]
            return hydraulic is True
        if self._parameters.power == "electric_pack":
            self._source = "no bus power" if bus_powered is False else "bus"
            return bus_powered is not False
        self._source = "none needed"
        return True

    def _settle(self, now_s: float, *, wanted: bool, supplied: bool) -> None:
        """Take the state that the conditions ask for."""
        if self._timers.running(_REST) and supplied:
            return
        if wanted:
            self._send(now_s, "run" if supplied else "starve")
        else:
            self._send(now_s, "stop")

    def _send(self, now_s: float, trigger: str) -> None:
        if not self._chart.handles(trigger):
            return
        self._chart.send_trigger(trigger)
        self._timers.cancel(_LIMIT)
        self._timers.cancel(_REST)
        if self.is_running and self._limit_s is not None:
            self._timers.start(_LIMIT, now_s + self._limit_s)

    def _hold(self, now_s: float, *, pressure: bool) -> None:
        if self._parameters.uplocks == "mechanical":
            return
        if pressure:
            self._timers.cancel(_HOLD)
            self.holds_up = True
        elif self.holds_up and not self._timers.running(_HOLD):
            self._timers.start(_HOLD, now_s + self._parameters.uplock_hold_s)
