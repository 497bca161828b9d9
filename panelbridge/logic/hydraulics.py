"""Hydraulics: supplies, accumulator, reservoir; who has pressure, and what the pilot is told.

Every engine's supply and the auxiliary pump feed one pressure line with a gas accumulator; each
serves its own list of consumers, and any one engine suffices. Pressure is indicated (14 CFR
29.1435(a)(3)), never above relief, and never below the precharge while fluid is in the accumulator
(US Army TM 55-1510-222-10). Low fluid is a caution that a switch can test (US Army
TM 1-1510-262-10). Whether pressure is low is a recorded parameter (14 CFR 135.152).

Who says what: with the authority ``feed`` the feed's pressure is the pressure, unknown serves
nobody; supplies, pressure switch and lamps work on it, and the reservoir knows of leaks only.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from math import inf, isnan
from typing import Literal

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.bands import NEVER_CALM, below
from panelbridge.logic.events import EventLog
from panelbridge.logic.hydraulic_fluid import Flows, HydraulicFluid
from panelbridge.logic.hydraulic_levels import HydraulicLevels
from panelbridge.logic.hydraulic_parameters import CONSUMERS, HydraulicsParameters
from panelbridge.logic.hydraulic_record import HydraulicRecord
from panelbridge.logic.hydraulic_report import (
    FLUID_RULES,
    LEFT_ON_RULES,
    PRESSURE_RULES,
    HydraulicsConditions,
    published_of,
    told_of,
)
from panelbridge.logic.hydraulic_supplies import HydraulicSupplies
from panelbridge.logic.needle import Needle
from panelbridge.logic.rule import Told
from panelbridge.logic.system import System
from panelbridge.signals import Value

_FLUID = ("hydraulics", "fluid")


class Hydraulics(System):
    """The hydraulic system.

    Args:
        parameters: its numbers.
        authority: who says what the pressure is.
        timers: for spooling up, crossings of levels, and the limit of the auxiliary pump.
        log: takes its events.
    """

    timer_prefix = "hydraulics"
    conditions: HydraulicsConditions

    def __init__(
        self,
        parameters: HydraulicsParameters,
        *,
        authority: Literal["model", "feed"],
        timers: TimerHeap,
        log: EventLog,
    ) -> None:
        self._parameters = parameters
        self._fed = authority == "feed"
        self._timers = timers
        self._supplies = HydraulicSupplies(parameters, timers, log)
        self._leaks = False
        self._record = HydraulicRecord(log)
        self._needle = Needle(parameters.gauge_step_psi)
        self._levels = HydraulicLevels(parameters)
        volume = parameters.accumulator.volume_l
        self._fluid = HydraulicFluid(
            total_l=parameters.reservoir_l,
            nominal_l=volume(parameters.nominal_psi),
            relief_l=volume(parameters.relief_psi),
            accumulator_levels=self._levels.accumulator_levels,
            reservoir_levels=(parameters.fluid_low_l, parameters.fluid_clear_l),
        )
        self._calm_psi = NEVER_CALM
        self._told_psi: float | None = None
        self._dirty = True
        self._inputs: object = None
        self._found = False
        self._loads: Mapping[str, float] = {}
        self._served: tuple[str, ...] = ()
        self._fluid_test = False
        self._wake_s = inf
        self.conditions = HydraulicsConditions(
            pressure_low=not self._fed,
            pressure_unknown=self._fed,
            fluid_low=False,
            fluid_test=False,
            aux_left_on=False,
        )
        self.lamp_rules = {
            "hydraulic_pressure_low_amber": PRESSURE_RULES,
            "hydraulic_fluid_low_amber": FLUID_RULES,
        }
        self.fault_kinds = {**self._supplies.fault_kinds, "hydraulics": ("leaking",)}
        self.published = published_of(parameters)
        if parameters.aux_pump:
            self.lamp_rules["aux_pump_left_on_amber"] = LEFT_ON_RULES

    @property
    def consumers(self) -> tuple[str, ...]:
        """The consumers that have pressure now."""
        return self._served

    @property
    def aux_running(self) -> bool:
        """The auxiliary pump runs."""
        return self._supplies.aux.is_running

    @property
    def gauge_psi(self) -> float | None:
        """Where the needle of the gauge stands, psi; None when unknown."""
        return self._needle.value

    @property
    def calm_psi(self) -> tuple[float, float]:
        """Above the first told pressure and up to the second one nothing changes, psi."""
        if not self._fed:
            return -inf, inf
        low, high = self._calm_psi
        return low, below(high)

    def serves(self, consumer: str) -> bool:
        """Whether a consumer has pressure: from a supply that serves it, or the accumulator."""
        return consumer in self._served

    def pressure_psi(self, now_s: float) -> float | None:
        """Pressure at ``now_s``, psi, from 0 to relief; None when unknown."""
        if self._fed:
            return self._told_psi
        accumulator_l, _, _ = self._fluid.at(now_s)
        return self._pressure_of(accumulator_l)

    def take_pressure(self, now_s: float, told_psi: float | None) -> bool:
        """Take the feed's pressure, psi; True when an update is needed."""
        low_psi, high_psi = self._calm_psi
        if told_psi is not None and low_psi < told_psi < high_psi:
            self._told_psi = told_psi
            return False
        if not self._fed:
            return False
        if told_psi is not None:
            # No limit of ours binds the feed, and not a number is unknown.
            told_psi = (
                None if isnan(told_psi) else min(max(told_psi, 0.0), self._parameters.relief_psi)
            )
        if told_psi != self._told_psi:
            self._told_psi = told_psi
            self._needle.take(told_psi)
            self._dirty, self._calm_psi = True, NEVER_CALM
        return self._dirty

    def update(
        self,
        now_s: float,
        *,
        engine_running: Sequence[bool | None],
        aux_switch: bool | None,
        bus_powered: bool | None,
        fluid_test: bool | None,
        told_pressure_psi: float | None = None,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            engine_running: each engine drives its supply; unknown drives nothing.
            aux_switch: the auxiliary pump is switched on; unknown is off.
            bus_powered: the electrical bus has power; unknown counts as power.
            fluid_test: the test of the low-fluid sensor is held.
            told_pressure_psi: the feed's pressure; read only when the feed is the authority.
        """
        self.take_pressure(now_s, told_pressure_psi)
        inputs = (engine_running, aux_switch, bus_powered, fluid_test)
        if not self._dirty and inputs == self._inputs and self._fluid.crossing_s > now_s:
            return
        self._run(now_s)
        self._inputs = inputs
        self._supplies.update(
            now_s,
            engine_running=engine_running,
            aux_powered=aux_switch is True and bus_powered is not False,
        )
        self._find(now_s, engine_running)
        self._fluid_test = fluid_test is True
        self._settle(now_s)

    def draw(self, now_s: float, loads: Mapping[str, float]) -> None:
        """What consumers take from ``now_s`` on, litres a second; one without pressure gets none.

        Raises:
            LogicError: no such consumer, or a negative flow.
        """
        for consumer, flow in loads.items():
            _check(consumer, flow)
        if loads != self._loads:
            self._run(now_s)
            self._loads = dict(loads)
            self._settle(now_s)

    def spend(self, now_s: float, consumer: str, volume_l: float) -> float:
        """One stroke of a consumer takes a volume at once, litres. Returns what it got.

        Raises:
            LogicError: no such consumer, or a negative volume.
        """
        _check(consumer, volume_l)
        self._run(now_s)
        if self._fed or not self.serves(consumer):
            return 0.0
        taken = self._fluid.take(now_s, volume_l)
        self._settle(now_s)
        return taken

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """A level was crossed, an engine spooled up, or the auxiliary pump was left on."""
        self._run(now_s)
        self._supplies.timer_due(now_s, name)
        self._settle(now_s)

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Fail a supply, or let the system leak. A leak that is mended is topped up too."""
        self._run(now_s)
        if target == "hydraulics":
            if self._leaks and kind is None:
                self._fluid.refill(now_s)
            self._leaks = kind is not None
        else:
            self._supplies.fail(target, kind)
        self._settle(now_s)

    def faults(self) -> tuple[str, ...]:
        """Supplies without pressure, a pump that runs on, and a reservoir that ran dry."""
        found = [f"the {label} has failed" for label in self._record.failed]
        if self._supplies.aux.runs_on:
            found.append("the auxiliary hydraulic pump runs on above its cut-out pressure")
        if self._fluid.is_empty:
            found.append("the hydraulic reservoir is empty")
        return tuple(found)

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What it publishes."""
        accumulator_l, reservoir_l, lost_l = self._fluid.at(now_s)
        conditions = self.conditions
        values: dict[str, Value] = {
            "hydraulic_pressure_psi": self.pressure_psi(now_s),
            "hydraulic_pressure_low": conditions.pressure_low or conditions.pressure_unknown,
            "hydraulic_reservoir_l": reservoir_l,
            "hydraulic_accumulator_l": None if self._fed else accumulator_l,
            "hydraulic_lost_l": lost_l,
        }
        if self._parameters.aux_pump:
            values["aux_pump_state"] = self._supplies.aux.state
            values["aux_pump_cycles"] = self._supplies.aux.cycles
        return values

    def told(self) -> Told:
        """The conditions in words."""
        fed, fluid = self._fed, self._fluid
        return told_of(
            self._parameters,
            self.conditions,
            pressure_psi=self._told_psi if fed else self._pressure_of(fluid.accumulator_l),
            reservoir_l=fluid.reservoir_l,
            aux_state=self._supplies.aux.state,
        )

    def _pressure_of(self, accumulator_l: float) -> float:
        pressure_psi = self._parameters.accumulator.pressure_psi(accumulator_l)
        return min(pressure_psi, self._parameters.relief_psi)

    def _find(self, now_s: float, engine_running: Sequence[bool | None]) -> None:
        # An engine that is found running when engines are first known has run before: no pilot sees
        # the pressure build up only because the program was started.
        if self._found or all(running is None for running in engine_running):
            return
        self._found = True
        if not self._fed and self._supplies.engines_give:
            self._fluid.fill(now_s)

    def _run(self, now_s: float) -> None:
        while self._fluid.crossing_s <= now_s:
            crossing_s = self._fluid.crossing_s
            self._fluid.cross()
            self._settle(crossing_s)

    def _level(self) -> float | None:
        """What limits are compared with: fluid in the accumulator, or what the feed's means."""
        if not self._fed:
            return self._fluid.accumulator_l
        told = self._told_psi
        return None if told is None else self._parameters.accumulator.volume_l(told)

    def _settle(self, now_s: float) -> None:
        self._dirty = False
        self._fluid.advance(now_s)
        level = self._level()
        if not self._fed:
            self._needle.take(self._pressure_of(self._fluid.accumulator_l))
        elif self._told_psi is not None:
            # Between these no limit is crossed and the needle stays: nothing is to be done.
            lows, highs = zip(
                self._levels.between(self._told_psi), self._needle.stays_between, strict=True
            )
            self._calm_psi = max(lows), min(highs)
        self._levels.take(level, self._fluid.reservoir_l)
        self._supplies.settle(now_s, wants_pressure=self._levels.wants_pressure)
        usable = self._levels.is_usable
        self._served = self._supplies.served(empty=self._fluid.is_empty) if usable else ()
        self._fluid.set_flows(self._flows())
        self._conclude(now_s, level)
        if self._fluid.crossing_s != self._wake_s:
            self._wake_s = self._fluid.crossing_s
            self._timers.cancel(_FLUID)
            if self._wake_s < inf:
                self._timers.start(_FLUID, self._wake_s)

    def _flows(self) -> Flows:
        parameters = self._parameters
        leak = parameters.leak_l_per_s if self._leaks else 0.0
        if self._fed:
            # Our fluid does not make the told pressure; a leak loses what a supply makes up for.
            lost = leak if self._told_psi else 0.0
            return Flows(compensated=0.0, constant=lost, returned=0.0, lost=lost)
        drawn = sum(flow for name, flow in self._loads.items() if name in self._served)
        return Flows(
            compensated=self._supplies.compensated_l_per_s,
            constant=self._supplies.constant_l_per_s,
            returned=drawn + parameters.internal_leak_l_per_s,
            lost=leak,
        )

    def _conclude(self, now_s: float, level: float | None) -> None:
        levels = self._levels
        self._record.take(
            now_s,
            pressure_low=levels.is_low,
            fluid_low=levels.fluid_low,
            empty=self._fluid.is_empty,
            failed=self._supplies.failed,
        )
        self.conditions = HydraulicsConditions(
            pressure_low=levels.is_low and level is not None,
            pressure_unknown=level is None,
            fluid_low=levels.fluid_low,
            fluid_test=self._fluid_test,
            aux_left_on=self._supplies.aux.left_on,
        )


def _check(consumer: str, amount: float) -> None:
    if consumer not in CONSUMERS:
        raise LogicError(f"'{consumer}' is no hydraulic consumer")
    if not 0.0 <= amount < inf:
        raise LogicError(f"'{consumer}' cannot take {amount} litres")
