"""What an aircraft needs of a panel: its switches, lamps and gauges by name.

Switches and gauges have the names of ``SwitchState`` and of the panel file, lamps those of
``Outputs.lamps``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from panelbridge.logic.aircraft import AircraftParameters


@dataclass(frozen=True, slots=True)
class Need:
    """A switch or gauge.

    Attributes:
        label: words for people.
        required: a panel without it has to say so.
    """

    label: str
    required: bool


@dataclass(frozen=True, slots=True)
class LampNeed:
    """A lamp.

    Attributes:
        label: words for people.
        required: a panel without it has to say so.
        colours: what it may be: red for danger, green for safe, any other for the rest (14 CFR
            23.1322, Amdt 23-43).
    """

    label: str
    required: bool
    colours: tuple[str, ...]


def switches_of(aircraft: AircraftParameters) -> Mapping[str, Need]:
    """Every switch that the aircraft's systems read."""
    needs = {
        "gear_handle": Need("gear handle", required=True),
        "horn_silence": Need("horn silence", required=True),
        "lamp_test": Need("lamp test", required=True),
        "warning_test": Need("warning test", required=False),
        "dimmer": Need("dimmer", required=False),
    }
    if aircraft.steering.steering_leg is not None:
        needs["steering_button"] = Need("steering", required=True)
    return needs


def lamps_of(aircraft: AircraftParameters) -> Mapping[str, LampNeed]:
    """Every lamp that the aircraft's systems light."""
    needs = {}
    for leg in aircraft.legs:
        needs[f"{leg.name}_green"] = LampNeed(f"{leg.name} leg locked down", True, ("green",))
    for leg in aircraft.legs:
        needs[f"{leg.name}_red"] = LampNeed(f"{leg.name} leg not locked", True, ("red",))
    needs["handle_red"] = LampNeed("light in the gear handle", False, ("red",))
    if aircraft.steering.steering_leg is not None:
        colours = ("green", "white", "blue")
        needs["steering"] = LampNeed("steering engaged", False, colours)
    return needs


def warning_tested_of(aircraft: AircraftParameters) -> frozenset[str]:
    """The lamps that the gear warning test lights: the gear's, or the red ones of these."""
    greens = {f"{leg.name}_green" for leg in aircraft.legs}
    reds = {f"{leg.name}_red" for leg in aircraft.legs} | {"handle_red"}
    all_of_them = aircraft.lamps.warning_test_lights == "gear_lamps"
    return frozenset(reds | greens if all_of_them else reds)


def gauges_of(aircraft: AircraftParameters) -> Mapping[str, Need]:
    """Every gauge that the aircraft's systems move."""
    return {"hydraulic_pressure": Need("hydraulic pressure", required=False)}
