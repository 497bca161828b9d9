"""What the sections of the systems page draw and warn of besides their own values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from panelbridge.dashboard.blocks.status_banners import HANDLE_LAMP
from panelbridge.dashboard.blocks.systems import AIRCRAFT
from panelbridge.dashboard.interfaces import ValueLook
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.gear.system import LandingGear
from panelbridge.logic.inventory import systems_of
from panelbridge.logic.speed_limits.system import SpeedLimits

_ALERTS = ("red", "amber")
_SPEED = ValueLook("airspeed_kias", "airspeed", unit="knots", full_scale=150.0)


def gear_section_of(aircraft: AircraftParameters) -> str:
    """The title of the section of the gear."""
    return next(
        (one.title for one in systems_of(aircraft) if isinstance(one, LandingGear)),
        "",
    )


def trends_of(aircraft: AircraftParameters) -> Mapping[str, Sequence[ValueLook]]:
    """Numbers that a section draws though it has no row for them, by its title."""
    legs = [
        ValueLook(f"{leg.name}_travel", f"{leg.name} leg down", unit="%", full_scale=1.0)
        for leg in aircraft.legs
    ]
    feed = [
        ValueLook("ground_speed_kt", "ground speed", unit="knots", full_scale=50.0),
        ValueLook("altitude_ft", "altitude", unit="ft", full_scale=1000.0),
        ValueLook("flap_deg", "flaps", unit="degrees", full_scale=10.0),
    ]
    found: dict[str, list[ValueLook]] = {gear_section_of(aircraft): legs}
    limited = [one.title for one in systems_of(aircraft) if isinstance(one, SpeedLimits)]
    found[next(iter(limited), AIRCRAFT)] = [_SPEED]
    found[AIRCRAFT] = [*found.get(AIRCRAFT, ()), *feed]
    return found


def alert_lamps_of(aircraft: AircraftParameters) -> Mapping[str, Sequence[str]]:
    """The red and amber lamps of each section, by its title.

    Those of the legs and of the handle are none: they are lit in every movement of the gear.
    """
    moving = {f"{leg.name}_{colour}" for leg in aircraft.legs for colour in _ALERTS}
    moving.add(HANDLE_LAMP)
    found: dict[str, list[str]] = {}
    for system in systems_of(aircraft):
        for lamp in system.lamps:
            if system.title and lamp.colour in _ALERTS and lamp.name not in moving:
                found.setdefault(system.title, []).append(lamp.name)
    return found
