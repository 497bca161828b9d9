"""What the hydraulics publish."""

from __future__ import annotations

from panelbridge.logic.kit.curves import Boyle, Line
from panelbridge.logic.kit.world import Facts


class HydraulicsFacts(Facts, frozen=True):
    """Who has pressure, and what decides lamps and values.

    Attributes:
        served: the consumers that have pressure now.
        pressure: pressure of the model, psi, as a function of time; None when the feed reports it.
        accumulator_l: fluid in the accumulator, litres; of the model.
        reservoir_l: fluid in the reservoir, litres.
        lost_l: fluid that has left the aircraft, litres.
        held_l: fluid in the brakes and their own accumulator, litres.
        is_found: an engine was known once.
        is_pumped: a supply gives pressure.
        gauge_psi: where the needle of the gauge stands, psi; None when unknown.
        pressure_low: the pressure is known and low.
        pressure_unknown: the feed does not report the pressure.
        fluid_low: little fluid is in the reservoir.
        fluid_test: the test of the low-fluid sensor is held.
        aux_left_on: the auxiliary pump was left switched on beyond its limit.
        aux: state of the auxiliary pump: off, pumping or resting.
        aux_cycles: how often it started.
        aux_runs_on: it runs though the pressure is up.
        failed: supplies that should give pressure and do not, in words.
        is_empty: the pumps draw air.
    """

    served: tuple[str, ...] = ()
    pressure: Boyle | None = None
    accumulator_l: Line = Line()
    reservoir_l: Line = Line()
    lost_l: Line = Line()
    held_l: Line = Line()
    is_found: bool = False
    is_pumped: bool = False
    gauge_psi: float | None = None
    pressure_low: bool = False
    pressure_unknown: bool = False
    fluid_low: bool = False
    fluid_test: bool = False
    aux_left_on: bool = False
    aux: str = "off"
    aux_cycles: int = 0
    aux_runs_on: bool = False
    failed: tuple[str, ...] = ()
    is_empty: bool = False

    def serves(self, consumer: str) -> bool:
        """Whether a consumer has pressure: from a supply that serves it, or the accumulator."""
        return consumer in self.served


class FedPressureFacts(Facts, frozen=True):
    """The hydraulic pressure of an aircraft without hydraulics.

    Attributes:
        gauge_psi: where the needle of the gauge stands, psi; None when unknown.
    """

    gauge_psi: float | None = None
