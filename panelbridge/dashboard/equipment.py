"""The equipment of an aircraft and its panel, for the screen: systems, values, gauges, commands.

Only what is listed here is shown: nothing is reserved for systems that the aircraft does not have.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from panelbridge.logic.kit.declarations import Gauge, Signal, Solenoid


@dataclass(frozen=True, slots=True)
class Equipment:
    """The equipment to show. By default: legs, steering and a pressure.

    Attributes:
        systems: titles of sections, each with the values that it shows, in display order.
        gauges: of the aircraft.
        solenoids: of the aircraft.
        boards: board of each gauge and solenoid that the panel has; empty: unknown, then the link
            is not considered.
        engines: number of engines.
        wheels: names of the braked wheels, in the order of ``Commands.brake_fraction``.
        steering: it has nose-wheel steering.
        pressure: it has hydraulics, or a gauge of their pressure.
        consumers: its hydraulics have consumers.
        aux_pump: it has an auxiliary pump.
        emergency_extend: it has an emergency extension.
        parking_brake: it has a parking brake.
        antiskid: it has anti-skid.
    """

    systems: Mapping[str, Sequence[Signal]] = field(default_factory=dict)
    gauges: Sequence[Gauge] = ()
    solenoids: Sequence[Solenoid] = ()
    boards: Mapping[str, str] = field(default_factory=dict)
    engines: int = 0
    wheels: tuple[str, ...] = ()
    steering: bool = True
    pressure: bool = True
    consumers: bool = False
    aux_pump: bool = False
    emergency_extend: bool = False
    parking_brake: bool = False
    antiskid: bool = False
