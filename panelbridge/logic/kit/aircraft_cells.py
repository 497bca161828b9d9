"""The cells of the world outside: one for each value of ``AircraftState``, by type.

A value that belongs to an engine, a leg, a wheel or a side has a cell of its own for each.
"""

from __future__ import annotations

from functools import cache
from typing import Any, TypeVar

from panelbridge.logic.kit.handles import Handle
from panelbridge.signals import GearPosition, LegLocks

T = TypeVar("T")


class AircraftCell(Handle[T]):
    """A value of the aircraft.

    Args:
        field: of ``AircraftState``.
        place: its place in that field, from 0; None when the field is the value.
    """

    def __init__(self, field: str, place: int | None = None) -> None:
        super().__init__(field if place is None else f"{field}[{place}]")
        self.field = field
        self.place = place


def cell_of(field: str, place: int | None = None) -> AircraftCell[Any]:
    """The one cell of a field, or of a place in it."""
    return _cell(field, place)  # a place that is left out must not make a second cell


@cache
def _cell(field: str, place: int | None) -> AircraftCell[Any]:
    return AircraftCell(field, place)


AIRSPEED_KIAS: AircraftCell[float] = cell_of("airspeed_kias")
ALTITUDE_FT: AircraftCell[float] = cell_of("altitude_ft")
GROUND_SPEED_KT: AircraftCell[float] = cell_of("ground_speed_kt")
FLAP_DEG: AircraftCell[float] = cell_of("flap_deg")
SPEED_BRAKE: AircraftCell[float] = cell_of("speed_brake_fraction")
TRIM_UNITS: AircraftCell[float] = cell_of("trim_units")
MASS_KG: AircraftCell[float] = cell_of("mass_kg")
HYDRAULIC_PRESSURE_PSI: AircraftCell[float] = cell_of("hydraulic_pressure_psi")
STEERING_PEDAL: AircraftCell[float] = cell_of("steering_pedal_fraction")
SIMULATOR_HANDLE: AircraftCell[GearPosition] = cell_of("gear_handle")
BUS_POWERED: AircraftCell[bool] = cell_of("bus_powered")
BUS_VOLTAGE_V: AircraftCell[float] = cell_of("bus_voltage_v")
PAUSED: AircraftCell[bool] = cell_of("paused")
SIMULATION_RATE: AircraftCell[float] = cell_of("simulation_rate")


def throttle(place: int) -> AircraftCell[float]:
    """Lever of an engine, 0 (idle) to 1 (full)."""
    return cell_of("throttle_fraction", place)


def engine_n1(place: int) -> AircraftCell[float]:
    """Speed of the low-pressure spool of an engine, 1 is its rated speed."""
    return cell_of("n1_fraction", place)


def engine_torque(place: int) -> AircraftCell[float]:
    """Torque of an engine, 1 is its rated torque."""
    return cell_of("torque_fraction", place)


def engine_running(place: int) -> AircraftCell[bool]:
    """An engine turns its pump or gives bleed air."""
    return cell_of("engine_running", place)


def strut(place: int) -> AircraftCell[bool]:
    """Squat switch of a leg; True = weight on it."""
    return cell_of("strut_compressed", place)


def leg_locks(place: int) -> AircraftCell[LegLocks]:
    """Lock switches of a leg, as the feed reports them."""
    return cell_of("leg_locks", place)


def wheel_rpm(place: int) -> AircraftCell[float]:
    """Speed of a braked wheel, revolutions a minute."""
    return cell_of("wheel_speed_rpm", place)


def brake_pedal(place: int) -> AircraftCell[float]:
    """Brake pedal of the simulator, left (0) or right (1), 0 to 1."""
    return cell_of("brake_pedal_fraction", place)


def brake_pressure_psi(place: int) -> AircraftCell[float]:
    """Pressure in the left (0) or right (1) brakes, as the feed reports it, psi."""
    return cell_of("brake_pressure_psi", place)


def antiskid_working(place: int) -> AircraftCell[bool]:
    """Anti-skid of a braked wheel works, as the feed reports it."""
    return cell_of("antiskid_working", place)
