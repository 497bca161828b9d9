"""What moves the legs: the aircraft's hydraulics, a power pack or motor of its own, or nothing.

* It runs while any leg or door is not where it was commanded, and stops only when every limit
  switch that ends the movement is made (FAA Airplane Flying Handbook, older ed. p. 11-10).
* A movement that has not ended within the travel limit is cut off: latched until the reset, though
  the leg should lock by itself (US Army TM 55-1510-222-10: a relay opens after 14 s). The reset
  works in the air too, unless the file says otherwise: it gives one more movement.
* Turned round in transit it first rests for the reversal's delay (US Navy P-307: one second). A
  movement that is turned round is another one: its limit begins again.
* Without pressure or bus power it stands still; the legs stay where they are and go on later.

Up-locks can be hooks, or pressure that is shut in (US Army TM 55-1510-222-10). Shut-in pressure
holds the legs for a time after the power has gone, then they leave their up-locks. Down-locks never
need any (14 CFR 23.729(b), before 2017), so nothing here has to do with them.
"""

from __future__ import annotations

from math import inf

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.gear.events import EventLog
from panelbridge.logic.gear.parameters import GearPowerParameters
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.signals import GearPosition


class GearPowerChart(Chart):
    """What moves the legs."""

    gearpower_idle = State(initial=True)
    gearpower_running = State()
    gearpower_resting = State()
    gearpower_unsupplied = State()
    gearpower_cut_off = State()

    run = gearpower_running.from_(gearpower_idle, gearpower_resting, gearpower_unsupplied)
    stop = gearpower_idle.from_(gearpower_running, gearpower_resting, gearpower_unsupplied)
    rest = gearpower_running.to(gearpower_resting)
    starve = gearpower_unsupplied.from_(gearpower_idle, gearpower_running, gearpower_resting)
    cut = gearpower_running.to(gearpower_cut_off)
    reset = gearpower_cut_off.to(gearpower_idle)


POWER_WORDS = tuple(state.id.removeprefix("gearpower_") for state in GearPowerChart.states)


class GearPower(Struct, frozen=True):
    """What moves the legs.

    Attributes:
        state_id: of the chart.
        demand: where the legs were asked to go last; None before that.
        reset: the reset button.
        wanted: a leg or door is not where it was commanded.
        supplied: there is pressure or bus power, and it is not broken.
        holds_up: legs that are up are held there: by hooks, or by pressure.
        limit_s: when the movement will have taken too long, s.
        rest_s: when the rest before a reversal is over, s.
        hold_s: when shut-in pressure has gone, s.
    """

    state_id: str = "gearpower_idle"
    demand: GearPosition | None = None
    reset: RisingEdge = RisingEdge()
    wanted: bool = False
    supplied: bool = True
    holds_up: bool = True
    limit_s: float = inf
    rest_s: float = inf
    hold_s: float = inf

    @property
    def due_s(self) -> float:
        """When the first of its times comes, s."""
        return min(self.limit_s, self.rest_s, self.hold_s)

    @property
    def word(self) -> str:
        """What it does."""
        return self.state_id.removeprefix("gearpower_")

    @property
    def is_running(self) -> bool:
        """The motor or the valve is on."""
        return self.state_id == "gearpower_running"

    @property
    def cut_off(self) -> bool:
        """The travel limit has passed and was not reset."""
        return self.state_id == "gearpower_cut_off"

    def drives(self, numbers: GearPowerParameters) -> bool:
        """It drives the legs now; one that needs no power does so except while it rests."""
        if numbers.power == "none_needed":
            return self.state_id != "gearpower_resting"
        return self.is_running

    def came_due(self, now_s: float, log: EventLog) -> GearPower:
        """The movement took too long, the rest is over, or shut-in pressure has gone."""
        if self.limit_s <= now_s:
            log.note(now_s, "gear_power_cut_off")
            return replace(self, state_id=GearPowerChart.after(self.state_id, "cut"), limit_s=inf)
        if self.rest_s <= now_s:
            return replace(self, rest_s=inf)
        log.note(now_s, "gear_up_pressure_lost")
        return replace(self, holds_up=False, hold_s=inf)

    def look(
        self,
        now_s: float,
        numbers: GearPowerParameters,
        log: EventLog,
        *,
        demand: GearPosition,
        wanted: bool,
        supplied: bool,
        reset: bool | None = None,
        may_reset: bool = True,
    ) -> GearPower:
        """What it is now.

        Args:
            now_s: seconds.
            numbers: its numbers.
            log: takes its events.
            demand: where the legs are commanded.
            wanted: a leg or door is not there, and no emergency extension drives it.
            supplied: there is pressure or bus power for it, and it is not broken.
            reset: the gear's reset button is pressed; None when unknown.
            may_reset: the aircraft is where the reset works.
        """
        edge = self.reset.take(reset)
        power = replace(self, demand=demand, reset=edge, wanted=wanted, supplied=supplied)
        if self.cut_off and self.reset.rises(edge):
            log.note(now_s, "gear_power_reset" if may_reset else "gear_reset_refused")
            power = power._send(now_s, numbers, "reset") if may_reset else power
        in_transit = power.is_running or power.state_id == "gearpower_resting"
        if demand is not self.demand and in_transit:
            power = replace(power._send(now_s, numbers, "rest"), rest_s=inf)
            if numbers.reversal_delay_s:
                power = replace(power, rest_s=now_s + numbers.reversal_delay_s)
        if power.rest_s == inf or not supplied:
            trigger = "stop" if not wanted else "run" if supplied else "starve"
            power = power._send(now_s, numbers, trigger)
        return power._hold(now_s, numbers, pressure=supplied and not power.cut_off)

    def _send(self, now_s: float, numbers: GearPowerParameters, trigger: str) -> GearPower:
        after = GearPowerChart.after(self.state_id, trigger)
        if after == self.state_id:
            return self
        limit_s = inf
        if after == "gearpower_running" and numbers.power != "none_needed":
            limit_s = now_s + (numbers.travel_limit_s or inf)
        return replace(self, state_id=after, limit_s=limit_s, rest_s=inf)

    def _hold(self, now_s: float, numbers: GearPowerParameters, *, pressure: bool) -> GearPower:
        if pressure or numbers.uplocks == "mechanical":
            holds = self.holds_up and self.hold_s == inf
            return self if holds else replace(self, holds_up=True, hold_s=inf)
        if self.holds_up and self.hold_s == inf:
            return replace(self, hold_s=now_s + numbers.uplock_hold_s)
        return self
