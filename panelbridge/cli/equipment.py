"""What the screen has to know of an aircraft and its panel, from their files."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_file import GaugeEntry, SolenoidEntry
from panelbridge.dashboard.equipment import (
    Equipment,
    GaugeLook,
    SolenoidLook,
    SystemLook,
    ValueLook,
)
from panelbridge.logic.antiskid import AntiSkid
from panelbridge.logic.brakes import Brakes
from panelbridge.logic.cold_weather import ColdWeather
from panelbridge.logic.emergency import Emergency
from panelbridge.logic.gear import Gear
from panelbridge.logic.gear_power import GearPower
from panelbridge.logic.gear_selection import GearSelection
from panelbridge.logic.handle_lock import HandleLock
from panelbridge.logic.hydraulics import Hydraulics
from panelbridge.logic.inventory import gauges_of, parts_of, solenoids_of
from panelbridge.logic.speed_limits import SpeedLimits
from panelbridge.logic.steering import Steering
from panelbridge.logic.system import System

_GEAR = "Gear power and doors"
_TITLES: Mapping[type[System], str] = {
    Hydraulics: "Hydraulics",
    Emergency: "Emergency extension",
    GearSelection: _GEAR,
    GearPower: _GEAR,
    Gear: _GEAR,
    HandleLock: "Handle lock",
    Brakes: "Brakes",
    AntiSkid: "Anti-skid",
    Steering: "Steering",
    SpeedLimits: "Speed limits",
    ColdWeather: "Cold weather",
}
"""Titles of the systems, in the order to show; a system that is not in here comes last."""
_NOTHING = {"gear_speed_limit_kias": "no limit now", "gear_speed_highest_kias": "never"}
"""What it means that a value is not there, where that is not that it is unknown."""
_SHORT_VALUES = {
    "gear_speed_limit_kias": "limit for the gear",
    "aux_pump_cycles": "starts of that pump",
}
_SHORT_GAUGES = {"brake_accumulator": "brakes left"}


def equipment_of(loaded: LoadedPanel) -> Equipment:
    """What the aircraft has, and what of it the panel has."""
    aircraft, panel = loaded.aircraft, loaded.panel
    hydraulics, brakes = aircraft.hydraulics, aircraft.brakes
    fitted = {name: entry for name, entry in panel.gauges if entry is not None}
    held = {name: entry for name, entry in panel.solenoids if entry is not None}
    told = hydraulics is not None or "hydraulic_pressure" in fitted
    gauges = gauges_of(aircraft)
    return Equipment(
        systems=_systems(parts_of(aircraft)),
        gauges=tuple(
            _gauge(name, gauges[name].label, fitted.get(name))
            for name in gauges
            if name != "hydraulic_pressure" or told
        ),
        solenoids=tuple(
            _solenoid(name, need.label, held.get(name))
            for name, need in solenoids_of(aircraft).items()
        ),
        engines=aircraft.engines,
        wheels=() if brakes is None else tuple(wheel.name for wheel in brakes.wheels),
        steering=aircraft.steering.steering_leg is not None,
        pressure=told,
        consumers=hydraulics is not None,
        aux_pump=hydraulics is not None and hydraulics.aux_pump is not None,
        emergency_extend=aircraft.emergency is not None,
        parking_brake=brakes is not None and brakes.parking_brake,
        antiskid=aircraft.antiskid is not None,
    )


def _systems(parts: tuple[System, ...]) -> tuple[SystemLook, ...]:
    values: dict[str, list[ValueLook]] = {title: [] for title in _TITLES.values()}
    for part in parts:
        title = _TITLES.get(type(part), type(part).__name__)
        values.setdefault(title, []).extend(
            ValueLook(
                info.name,
                _SHORT_VALUES.get(info.name, info.label),
                info.form,
                info.unit,
                _NOTHING.get(info.name, ""),
            )
            for info in part.published
        )
    return tuple(SystemLook(title, tuple(looks)) for title, looks in values.items() if looks)


def _gauge(name: str, label: str, entry: GaugeEntry | None) -> GaugeLook:
    unit = "" if name in _SHORT_GAUGES else "psi"
    words = _SHORT_GAUGES.get(name, label)
    if entry is None:
        return GaugeLook(name, words, unit, fitted=False)
    return GaugeLook(name, words, unit, entry.board)


def _solenoid(name: str, label: str, entry: SolenoidEntry | None) -> SolenoidLook:
    if entry is None:
        return SolenoidLook(name, label, fitted=False)
    return SolenoidLook(name, label, entry.board)
