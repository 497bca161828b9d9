"""What an aircraft needs of a panel, and every signal, fault and event that it has, by name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.kit.declarations import EventTexts, Gauge, Lamp, Signal, Solenoid
from panelbridge.logic.kit.handles import Switch
from panelbridge.logic.kit.system import System
from panelbridge.logic.systems import make_systems
from panelbridge.logic.vocabulary import lamps_of as lamps_of_systems
from panelbridge.logic.vocabulary import signals_of
from panelbridge.logic.vocabulary import switches_of as switches_of_systems

_known: list[tuple[AircraftBase, tuple[System[Any], ...]]] = []
_KEPT = 16


def systems_of(aircraft: AircraftBase) -> tuple[System[Any], ...]:
    """The systems of an aircraft, to be asked what they declare. Never to be run."""
    for known, systems in _known:
        if known is aircraft:
            return systems
    systems = make_systems(aircraft)
    _known.append((aircraft, systems))
    del _known[:-_KEPT]
    return systems


def switches_of(aircraft: AircraftBase) -> Mapping[str, Switch[Any]]:
    """Every switch that the systems read, by name."""
    return switches_of_systems(systems_of(aircraft))


def lamps_of(aircraft: AircraftBase) -> Mapping[str, Lamp]:
    """Every lamp, the builder's own among them, by name."""
    return lamps_of_systems(systems_of(aircraft))


def gauges_of(aircraft: AircraftBase) -> Mapping[str, Gauge]:
    """Every gauge that the systems move."""
    return {gauge.name: gauge for system in systems_of(aircraft) for gauge in system.gauges}


def solenoids_of(aircraft: AircraftBase) -> Mapping[str, Solenoid]:
    """Every solenoid that the systems hold."""
    return {one.name: one for system in systems_of(aircraft) for one in system.solenoids}


def faults_of(aircraft: AircraftBase) -> Mapping[str, tuple[str, ...]]:
    """What can be broken on the bench, and how."""
    return {fault.name: fault.kinds for system in systems_of(aircraft) for fault in system.faults}


def events_of(aircraft: AircraftBase) -> EventTexts:
    """Level and text of every event that the systems can note, by name."""
    return {name: text for system in systems_of(aircraft) for name, text in system.events.items()}


def vocabulary_of(aircraft: AircraftBase) -> Mapping[str, Signal]:
    """Every signal of an aircraft, with all switches and lamps that it can have."""
    return signals_of(values_of(aircraft), systems_of(aircraft))
