"""The supplies of hydraulic pressure: of an engine, and the electric auxiliary pump."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.hydraulics.parameters import CONSUMERS, HydraulicsParameters
from panelbridge.logic.kit.chart import Chart

AUX_PUMP_LABEL = "auxiliary hydraulic pump"


class EngineSupply(Struct, frozen=True):
    """The supply of one engine.

    An engine that is found running has run before: its supply gives at once. An engine that is
    unknown gives nothing; known again, its supply spools up as after a start.

    Attributes:
        seen: its engine was known once.
        running: its engine is known to run.
        is_driven: its engine turns it at speed, broken or not.
        is_failed: it is broken.
        due_s: when it has spooled up, s; inf = it has, or its engine stands still.
    """

    seen: bool = False
    running: bool = False
    is_driven: bool = False
    is_failed: bool = False
    due_s: float = inf

    @property
    def gives(self) -> bool:
        """It can give flow, as long as there is fluid."""
        return self.is_driven and not self.is_failed

    def take(
        self, now_s: float, running: bool | None, delay_s: float, *, is_failed: bool
    ) -> EngineSupply:
        """Its engine now, None when unknown; and whether it is broken."""
        is_running, is_found = running is True, running is not None and not self.seen
        is_driven, due_s = self.is_driven, self.due_s
        if is_running is not self.running:
            is_driven = is_running and (is_found or delay_s == 0.0)
            due_s = now_s + delay_s if is_running and not is_driven else inf
        elif not is_found and is_failed is self.is_failed:
            return self
        return EngineSupply(self.seen or is_found, is_running, is_driven, is_failed, due_s)

    def reached(self, now_s: float) -> EngineSupply:
        """What came due by ``now_s``."""
        return replace(self, is_driven=True, due_s=inf) if self.due_s <= now_s else self


class AuxPumpChart(Chart):
    """The auxiliary pump."""

    aux_off = State(initial=True)
    aux_pumping = State()
    aux_resting = State()

    start = aux_off.to(aux_pumping) | aux_resting.to(aux_pumping)
    rest = aux_off.to(aux_resting) | aux_pumping.to(aux_resting)
    stop = aux_pumping.to(aux_off) | aux_resting.to(aux_off)


class AuxPump(Struct, frozen=True):
    """The auxiliary pump: its switch, its pressure switch, and how long it was left on.

    The pressure switch has a band: it opens at cut-out and closes at cut-in, and between the two it
    stays as it is, so that smaller noise never makes the pump chatter.

    Attributes:
        state_id: of its chart.
        is_powered: it is switched on and has power.
        fault: how it is broken: ``failed`` or ``runs_on``.
        cycles: how often it started.
        runs_on: its pressure switch is stuck: it runs though there is pressure enough.
        left_on: it was left switched on longer than its limit.
        due_s: when it will have been, s; inf = never.
    """

    state_id: str = "aux_off"
    is_powered: bool = False
    fault: str | None = None
    cycles: int = 0
    runs_on: bool = False
    left_on: bool = False
    due_s: float = inf

    @property
    def is_on(self) -> bool:
        """It is switched on and able to run."""
        return self.state_id != "aux_off"

    @property
    def is_running(self) -> bool:
        """Its motor turns."""
        return self.state_id == "aux_pumping"

    def reached(self, now_s: float) -> AuxPump:
        """What came due by ``now_s``."""
        return replace(self, left_on=True, due_s=inf) if self.due_s <= now_s else self

    def following(self, now_s: float, wanted: bool, on_limit_s: float | None) -> AuxPump:
        """Start and stop as its pressure switch asks.

        Args:
            now_s: seconds.
            wanted: the pressure asks for it.
            on_limit_s: longest time that it may be left switched on, s; None for no limit.
        """
        able, stuck = self.is_powered and self.fault != "failed", self.fault == "runs_on"
        trigger = "stop" if not able else "start" if wanted or stuck else "rest"
        state_id = AuxPumpChart.after(self.state_id, trigger)
        due_s = self.due_s if able else inf
        if able and not self.is_on and on_limit_s is not None:
            due_s = now_s + on_limit_s
        return replace(
            self,
            state_id=state_id,
            cycles=self.cycles + (state_id == "aux_pumping" and not self.is_running),
            runs_on=able and stuck and not wanted,
            left_on=able and self.left_on,
            due_s=due_s,
        )


def served_by(
    parameters: HydraulicsParameters,
    engines: Iterable[EngineSupply],
    aux: AuxPump,
    *,
    is_empty: bool,
) -> tuple[str, ...]:
    """The consumers that have pressure, provided that it is usable.

    Args:
        parameters: the numbers of the system.
        engines: the supplies of its engines, in the order of the aircraft file.
        aux: its auxiliary pump.
        is_empty: there is no fluid to give: only what is stored serves.
    """
    served: set[str] = set(parameters.accumulator.serves)
    if not is_empty:
        for numbers, supply in zip(parameters.supplies, engines, strict=True):
            if supply.gives:
                served.update(numbers.serves)
        if aux.is_on and parameters.aux_pump is not None:
            served.update(parameters.aux_pump.serves)
    return tuple([consumer for consumer in CONSUMERS if consumer in served])


def given_by(
    parameters: HydraulicsParameters, engines: Iterable[EngineSupply], aux: AuxPump
) -> tuple[float, float]:
    """Flow of the engines' supplies, which hold the nominal pressure, and of the pump, l/s."""
    supplies, pump = zip(parameters.supplies, engines, strict=True), parameters.aux_pump
    given = sum([numbers.flow_l_per_s for numbers, supply in supplies if supply.gives])
    return given, pump.flow_l_per_s if pump is not None and aux.is_running else 0.0


def failed_of(
    parameters: HydraulicsParameters, engines: Iterable[EngineSupply], aux: AuxPump
) -> tuple[str, ...]:
    """The supplies that should give pressure now and do not, in words."""
    failed = [
        numbers.label
        for numbers, supply in zip(parameters.supplies, engines, strict=True)
        if supply.is_driven and supply.is_failed
    ]
    if aux.is_powered and aux.fault == "failed":
        failed.append(AUX_PUMP_LABEL)
    return tuple(failed)
