"""Limits of the numbers that the screen shows, from the aircraft file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from panelbridge.dashboard.interfaces import ValueLimit
from panelbridge.logic.aircraft import AircraftParameters

_Found = Iterator[tuple[str, ValueLimit]]


def limits_of(aircraft: AircraftParameters) -> Mapping[str, Sequence[ValueLimit]]:
    """The limits of each number by its name: a system's value, a gauge, a value of the aircraft."""
    found: dict[str, list[ValueLimit]] = {}
    for part in (_hydraulics, _emergency, _brakes, _brake_heat, _speeds):
        for name, limit in part(aircraft):
            found.setdefault(name, []).append(limit)
    return found


def _hydraulics(aircraft: AircraftParameters) -> _Found:
    if (own := aircraft.hydraulics) is None:
        return
    for name in ("hydraulic_pressure_psi", "hydraulic_pressure"):
        yield name, ValueLimit("low", "least", own.low_psi)
        yield name, ValueLimit("nominal", "mark", own.nominal_psi)
    yield "hydraulic_reservoir_l", ValueLimit("low", "least", own.fluid_low_l)


def _emergency(aircraft: AircraftParameters) -> _Found:
    own = aircraft.emergency
    if own is None or own.means != "air":
        return
    for name in ("emergency_air_psi", "emergency_air"):
        yield name, ValueLimit("low", "least", own.bottle_low_psi)
        yield name, ValueLimit("full", "mark", own.bottle_full_psi)


def _brakes(aircraft: AircraftParameters) -> _Found:
    if (own := aircraft.brakes) is None:
        return
    wheels = [f"{wheel.name}_wheel_brake_psi" for wheel in own.wheels]
    for name in (*wheels, "left_brake_psi", "right_brake_psi", "left_brake", "right_brake"):
        yield name, ValueLimit("full", "mark", own.full_psi)
    if own.accumulator is not None:
        for name in ("brake_accumulator_psi", "brake_accumulator"):
            yield name, ValueLimit("precharge", "mark", own.accumulator.precharge_psi)


def _brake_heat(aircraft: AircraftParameters) -> _Found:
    own, brakes = aircraft.brake_heat, aircraft.brakes
    if own is None or brakes is None:
        return
    for wheel in brakes.wheels:
        if own.too_hot_c is not None:
            yield f"{wheel.name}_brake_c", ValueLimit("too hot", "most", own.too_hot_c)
        if own.fuse_plug_c is not None:
            yield f"{wheel.name}_wheel_c", ValueLimit("fuse plug", "most", own.fuse_plug_c)


def _speeds(aircraft: AircraftParameters) -> _Found:
    """Speeds of 14 CFR 25.1515: gear operating VLO, gear extended VLE. Which one counts now, or
    none, the system says."""
    if (own := aircraft.speed_limits) is None:
        return
    name = "airspeed_kias"
    yield name, ValueLimit("gear limit", "most", published="gear_speed_limit_kias")
    extend = own.vlo_kias if own.vlo_extend_kias is None else own.vlo_extend_kias
    for word, value in (("VLE", own.vle_kias), ("VLO", extend), ("VLO up", own.vlo_retract_kias)):
        if value is not None:
            yield name, ValueLimit(word, "mark", value)
