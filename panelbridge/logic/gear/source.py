"""Where the power of the gear comes from, whether it is there, and at which pace it drives.

An electric gear needs the bus, its circuit breaker pushed in, and enough voltage. Below the nominal
voltage its motor turns more slowly, in proportion (a motor with a constant field; *common practice,
no source*); below the stall voltage it stands still, which is a power that is missing: nothing
moves, the caution says why, and the travel limit begins again with the power. What is unknown
counts as there: no wire and no value that is lost keeps the gear up.
"""

from __future__ import annotations

from panelbridge.logic.gear.parameters import GearPowerParameters
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, BUS_VOLTAGE_V
from panelbridge.logic.kit.handles import Switch, SwitchWords, Toggle
from panelbridge.logic.kit.readings import Quantiser, Reading, Threshold, below
from panelbridge.logic.kit.world import World
from panelbridge.logic.missing_data.facts import MissingDataFacts

PACE_STEPS = 100
"""Steps of the voltage up to the nominal one: noise of less than one moves nothing."""


class CircuitBreaker(Toggle):
    """A circuit breaker that is pulled and pushed by hand; operated is pulled."""

    words = SwitchWords("in", "pulled")


GEAR_BREAKER = CircuitBreaker(
    "gear_breaker",
    "gear circuit breaker",
    "Closed: the circuit breaker of the electric gear is pulled.",
)


class PowerSource:
    """The source of the power of the gear; holds no state.

    Args:
        numbers: the numbers of the power.
    """

    def __init__(self, numbers: GearPowerParameters) -> None:
        self._numbers = numbers
        electric = numbers.power == "electric_pack"
        self.has_breaker = electric and numbers.breaker
        self.switches: tuple[Switch[bool], ...] = (GEAR_BREAKER,) if self.has_breaker else ()
        self.readings: tuple[Reading[bool] | Reading[int], ...] = ()
        self._nominal_v = numbers.nominal_v if electric else None
        if self._nominal_v is not None:
            step_v = self._nominal_v / PACE_STEPS
            self._stall_v = max(numbers.stall_v or 0.0, step_v)
            self._steps = Quantiser(BUS_VOLTAGE_V, step_v)
            # A motor that stands needs more to start than one that turns needs to go on.
            self._turns = Threshold(BUS_VOLTAGE_V, self._stall_v + step_v, below(self._stall_v))
            self.readings = (self._steps, self._turns)

    def is_there(self, world: World) -> bool:
        """There is power; what is unknown counts as there, but pressure."""
        if self._numbers.power == "hydraulic":
            return world[HydraulicsFacts].serves("gear")
        if self._numbers.power == "none_needed":
            return True
        if world[BUS_POWERED] is False or (self.has_breaker and world[GEAR_BREAKER]):
            return False
        return self._nominal_v is None or world[self._turns] is not False

    def pace(self, world: World) -> float:
        """How fast it drives the legs: its voltage over the nominal one, in steps, up to 1."""
        steps = None if self._nominal_v is None else world[self._steps]
        return 1.0 if steps is None else min(max(steps, 1), PACE_STEPS) / PACE_STEPS

    def in_words(self, world: World) -> str:
        """What it is, or what is missing."""
        if self._numbers.power == "hydraulic":
            said = "hydraulics" if self.is_there(world) else "no pressure"
            unknown = world[MissingDataFacts].engines_missing
            return f"{said}, and nothing is known of the engines" if unknown else said
        return "none needed" if self._numbers.power == "none_needed" else self._electric(world)

    def _electric(self, world: World) -> str:
        if world[BUS_POWERED] is False:
            return "no bus power"
        if self.has_breaker and world[GEAR_BREAKER]:
            return "circuit breaker pulled"
        volts = None if self._nominal_v is None else world[BUS_VOLTAGE_V]
        if volts is None:
            return "bus"
        if not self.is_there(world):
            return f"bus at {volts:.1f} V, the motor stands still below {self._stall_v:g} V"
        return f"bus at {volts:.1f} V, nominal {self._nominal_v:g} V"
