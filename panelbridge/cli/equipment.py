"""What the screen has to know of an aircraft and its panel, from their files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_file import GaugeEntry, SolenoidEntry
from panelbridge.dashboard.equipment import (
    Equipment,
    GaugeLook,
    SolenoidLook,
    SystemLook,
    ValueLook,
)
from panelbridge.logic.inventory import gauges_of, solenoids_of, systems_of
from panelbridge.logic.kit.declarations import Gauge
from panelbridge.logic.kit.system import System


def equipment_of(loaded: LoadedPanel) -> Equipment:
    """What the aircraft has, and what of it the panel has."""
    aircraft, panel = loaded.aircraft, loaded.panel
    hydraulics, brakes = aircraft.hydraulics, aircraft.brakes
    fitted = {name: entry for name, entry in panel.gauges if entry is not None}
    held = {name: entry for name, entry in panel.solenoids if entry is not None}
    pressure = hydraulics is not None or "hydraulic_pressure" in fitted
    return Equipment(
        systems=_systems(systems_of(aircraft)),
        gauges=tuple(
            _gauge(gauge, fitted.get(name))
            for name, gauge in gauges_of(aircraft).items()
            if name != "hydraulic_pressure" or pressure
        ),
        solenoids=tuple(
            _solenoid(name, one.label, held.get(name))
            for name, one in solenoids_of(aircraft).items()
        ),
        engines=aircraft.engines,
        wheels=() if brakes is None else tuple(wheel.name for wheel in brakes.wheels),
        steering=aircraft.steering.steering_leg is not None,
        pressure=pressure,
        consumers=hydraulics is not None,
        aux_pump=hydraulics is not None and hydraulics.aux_pump is not None,
        emergency_extend=aircraft.emergency is not None,
        parking_brake=brakes is not None and brakes.parking_brake,
        antiskid=aircraft.antiskid is not None,
    )


def _systems(systems: Sequence[System[Any]]) -> tuple[SystemLook, ...]:
    """Each section with what its systems publish beside the legs and the whole gear."""
    values: dict[str, list[ValueLook]] = {}
    for system in systems:
        values.setdefault(system.title, []).extend(
            ValueLook(one.name, one.short or one.label, one.form, one.unit, one.when_none)
            for one in system.values
            if one.group == "system"
        )
    return tuple(SystemLook(title, tuple(looks)) for title, looks in values.items() if looks)


def _gauge(gauge: Gauge, entry: GaugeEntry | None) -> GaugeLook:
    if entry is None:
        return GaugeLook(gauge.name, gauge.label, gauge.unit, fitted=False)
    return GaugeLook(gauge.name, gauge.label, gauge.unit, entry.board)


def _solenoid(name: str, label: str, entry: SolenoidEntry | None) -> SolenoidLook:
    if entry is None:
        return SolenoidLook(name, label, fitted=False)
    return SolenoidLook(name, label, entry.board)
