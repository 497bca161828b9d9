"""The equipment of an aircraft and its panel, for the screen: systems, values, gauges, commands.

Only what is listed here is shown: nothing is reserved for systems that the aircraft does not have.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ValueForm = Literal["number", "word", "yes_no"]


@dataclass(frozen=True, slots=True)
class ValueLook:
    """A value that a system publishes.

    Attributes:
        name: its name among ``LogicView.values``.
        label: text for people, without the unit.
        form: a number, a word, or yes/no.
        unit: of a number; empty for a count.
        nothing: text for a published None; empty: unknown. A value that is not published is always
            unknown.
    """

    name: str
    label: str
    form: ValueForm = "number"
    unit: str = ""
    nothing: str = ""


@dataclass(frozen=True, slots=True)
class SystemLook:
    """A system: its title, and the values that it publishes, in display order."""

    title: str
    values: tuple[ValueLook, ...]


@dataclass(frozen=True, slots=True)
class GaugeLook:
    """A gauge of the aircraft.

    Attributes:
        name: its name among the outputs.
        label: text for people.
        unit: of its value; empty for a count.
        board: name of its board; empty: unknown, then the link is not considered.
        fitted: the panel has it.
    """

    name: str
    label: str
    unit: str = ""
    board: str = ""
    fitted: bool = True


@dataclass(frozen=True, slots=True)
class SolenoidLook:
    """A solenoid of the aircraft; the attributes are those of a gauge."""

    name: str
    label: str
    board: str = ""
    fitted: bool = True


@dataclass(frozen=True, slots=True)
class Equipment:
    """The equipment to show. By default: legs, steering and a pressure.

    Attributes:
        systems: sections with the values that they show.
        gauges: of the aircraft.
        solenoids: of the aircraft.
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

    systems: tuple[SystemLook, ...] = ()
    gauges: tuple[GaugeLook, ...] = ()
    solenoids: tuple[SolenoidLook, ...] = ()
    engines: int = 0
    wheels: tuple[str, ...] = ()
    steering: bool = True
    pressure: bool = True
    consumers: bool = False
    aux_pump: bool = False
    emergency_extend: bool = False
    parking_brake: bool = False
    antiskid: bool = False
