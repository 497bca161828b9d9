"""What the hydraulic system shows: its lamps and why, and its values."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.logic.hydraulic_parameters import HydraulicsParameters
from panelbridge.logic.rule import Rule, Told
from panelbridge.logic.system import ValueInfo
from panelbridge.signals import Reason


@dataclass(frozen=True, slots=True)
class HydraulicsConditions:
    """All that decides the lamps.

    Attributes:
        pressure_low: the pressure is known and low.
        pressure_unknown: the feed does not tell the pressure.
        fluid_low: little fluid is in the reservoir.
        fluid_test: the test of the low-fluid sensor is held.
        aux_left_on: the auxiliary pump was left switched on beyond its limit.
    """

    pressure_low: bool
    pressure_unknown: bool
    fluid_low: bool
    fluid_test: bool
    aux_left_on: bool


PRESSURE_RULES = (
    Rule("hydraulic pressure low", (("pressure_low", True),), "lights the caution"),
    Rule(
        "hydraulic pressure unknown",
        (("pressure_unknown", True),),
        "lights the caution: unknown counts as low",
    ),
)
FLUID_RULES = (
    Rule(
        "hydraulic fluid low",
        (("fluid_low", True),),
        "lights the caution, US Army TM 1-1510-262-10",
    ),
    Rule("test of the low-fluid sensor", (("fluid_test", True),), "lights the caution"),
)
LEFT_ON_RULES = (
    Rule(
        "auxiliary pump left on beyond its limit",
        (("aux_left_on", True),),
        "lights the caution: it cycles and wears",
    ),
)


def told_of(
    numbers: HydraulicsParameters,
    conditions: HydraulicsConditions,
    *,
    pressure_psi: float | None,
    reservoir_l: float,
    aux_state: str,
) -> Told:
    """The conditions in words, with what they were decided on."""
    shown = _psi(pressure_psi)
    limit_s = numbers.aux_pump.on_limit_s if numbers.aux_pump else None
    return {
        "pressure_low": (
            Reason(
                "hydraulic pressure low",
                conditions.pressure_low,
                f"{shown}; low at {numbers.low_psi:g} psi, no more at"
                f" {numbers.low_clear_psi:g} psi",
            ),
        ),
        "pressure_unknown": (
            Reason("hydraulic pressure unknown", conditions.pressure_unknown, shown),
        ),
        "fluid_low": (
            Reason(
                "hydraulic fluid low",
                conditions.fluid_low,
                f"{reservoir_l:.2f} l; low at {numbers.fluid_low_l:g} l, no more at"
                f" {numbers.fluid_clear_l:g} l",
            ),
        ),
        "fluid_test": (Reason("low-fluid test held", conditions.fluid_test),),
        "aux_left_on": (
            Reason(
                "auxiliary pump left on",
                conditions.aux_left_on,
                f"{aux_state}; limit {limit_s:g} s" if limit_s else "no limit",
            ),
        ),
    }


def published_of(numbers: HydraulicsParameters) -> tuple[ValueInfo, ...]:
    """The values of a system with these numbers."""
    total_l, relief_psi = numbers.reservoir_l, numbers.relief_psi
    infos = [
        ValueInfo(
            "hydraulic_pressure_psi", "number", "hydraulic pressure", "psi", (), 0.0, relief_psi
        ),
        ValueInfo("hydraulic_pressure_low", "yes_no", "hydraulic pressure low"),
        ValueInfo("hydraulic_reservoir_l", "number", "hydraulic reservoir", "l", (), 0.0, total_l),
        ValueInfo(
            "hydraulic_accumulator_l", "number", "fluid in accumulator", "l", (), 0.0, total_l
        ),
        ValueInfo("hydraulic_lost_l", "number", "hydraulic fluid lost", "l", (), 0.0, total_l),
    ]
    if numbers.aux_pump:
        words = ("off", "pumping", "resting")
        infos.append(ValueInfo("aux_pump_state", "word", "auxiliary pump", "", words))
        infos.append(
            ValueInfo("aux_pump_cycles", "number", "starts of the auxiliary pump", "", (), 0.0)
        )
    return tuple(infos)


def _psi(pressure_psi: float | None) -> str:
    return "unknown" if pressure_psi is None else f"{pressure_psi:.0f} psi"
