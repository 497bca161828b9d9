"""What the screen has to know of an aircraft and its panel, from their files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from panelbridge.config.load import LoadedPanel
from panelbridge.dashboard.equipment import Equipment
from panelbridge.logic.inventory import gauges_of, solenoids_of, systems_of
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.system import System


def equipment_of(loaded: LoadedPanel) -> Equipment:
    """What the aircraft has, and what of it the panel has."""
    aircraft, panel = loaded.aircraft, loaded.panel
    hydraulics, brakes = aircraft.hydraulics, aircraft.brakes
    fitted = {**dict(panel.gauges), **dict(panel.solenoids)}
    boards = {name: entry.board for name, entry in fitted.items() if entry is not None}
    pressure = hydraulics is not None or "hydraulic_pressure" in boards
    return Equipment(
        systems=_systems(systems_of(aircraft)),
        gauges=tuple(
            gauge
            for name, gauge in gauges_of(aircraft).items()
            if name != "hydraulic_pressure" or pressure
        ),
        solenoids=tuple(solenoids_of(aircraft).values()),
        boards=boards,
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


def _systems(systems: Sequence[System[Any]]) -> Mapping[str, Sequence[Signal]]:
    """Each section with what its systems publish beside the legs and the whole gear."""
    values: dict[str, list[Signal]] = {}
    for system in systems:
        found = [one for one in system.values if one.group == "system"]
        if found:
            values.setdefault(system.title, []).extend(found)
    return values
