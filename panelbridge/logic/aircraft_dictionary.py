"""The one written dictionary of the aircraft's values, which belong to the world outside.

A line each. Values of engines, legs, wheels and sides have one name each: ``throttle_1``,
``strut_nose``, ``left_pedal``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from panelbridge.logic.aircraft_base import AircraftBase

SIDES = ("left", "right")


class AircraftEntry(NamedTuple):
    """A line of the dictionary.

    Attributes:
        name: of the value; ``{}`` is the engine's number, or the name of the leg, wheel or side.
        field: of ``AircraftState``.
        label: words for people.
        of: how many there are: the names that fill ``{}``; None for a single value.
        words: what a word can be: for True and for False, or both positions of a handle.
        unit: of a number; empty for a fraction.
        low: least sensible number.
        high: greatest sensible number.
        there: whether an aircraft has it.
        part: the attribute of a ``LegLocks`` that it is.
        authority: the key of ``authority:`` that must say ``feed`` for it to be read; empty when it
            always is.
    """

    name: str
    field: str
    label: str
    of: Callable[[AircraftBase], Sequence[str]] | None = None
    words: tuple[str, ...] = ()
    unit: str = ""
    low: float = 0.0
    high: float = 1.0
    there: Callable[[AircraftBase], bool] = lambda aircraft: True
    part: str = ""
    authority: str = ""

    def fillings(self, aircraft: AircraftBase) -> Sequence[str]:
        """What fills its name and label, for each of them that an aircraft has."""
        return [""] if self.of is None else self.of(aircraft)

    def is_read(self, aircraft: AircraftBase) -> bool:
        """The logic of an aircraft that has it reads it: no model stands in its place."""
        # Without hydraulics there is no model of them: their pressure on the gauge is the feed's.
        is_modelled = self.authority and (self.authority != "hydraulics" or aircraft.hydraulics)
        return not is_modelled or getattr(aircraft.authority, self.authority) == "feed"


def _engines(aircraft: AircraftBase) -> Sequence[str]:
    return [str(number + 1) for number in range(aircraft.engines)]


def _struts(aircraft: AircraftBase) -> Sequence[str]:
    return aircraft.strut_names


def _legs(aircraft: AircraftBase) -> Sequence[str]:
    return aircraft.leg_names


def _sides(aircraft: AircraftBase) -> Sequence[str]:
    return SIDES


def _wheels(aircraft: AircraftBase) -> Sequence[str]:
    return [wheel.name for wheel in aircraft.brakes.wheels] if aircraft.brakes else []


def _steers(aircraft: AircraftBase) -> bool:
    return aircraft.steering.steering_leg is not None


def _brakes(aircraft: AircraftBase) -> bool:
    return aircraft.brakes is not None


def _antiskid(aircraft: AircraftBase) -> bool:
    return _brakes(aircraft) and aircraft.antiskid is not None


_STRUT, _RUNNING, _POWER = ("compressed", "extended"), ("running", "stopped"), ("on", "off")
_WORKING, _LOCK = ("working", "failed"), ("made", "open")
_PSI = "hydraulic_pressure_psi"
_PEDAL = "steering_pedal_fraction"
DICTIONARY = (
    AircraftEntry("airspeed_kias", "airspeed_kias", "indicated airspeed", unit="kt", high=1000.0),
    AircraftEntry(
        "altitude_ft", "altitude_ft", "pressure altitude", unit="ft", low=-2000.0, high=60_000.0
    ),
    AircraftEntry(
        "ground_speed_kt", "ground_speed_kt", "speed over the ground", unit="kt", high=1000.0
    ),
    AircraftEntry("flap_deg", "flap_deg", "flap angle", unit="degrees", high=90.0),
    AircraftEntry("speed_brake", "speed_brake_fraction", "speed brakes, 0 stowed to 1 fully out"),
    AircraftEntry(
        *("trim", "trim_units", "longitudinal trim, as its indicator shows it"),
        unit="units",
        low=-30.0,
        high=30.0,
    ),
    AircraftEntry("mass_kg", "mass_kg", "mass of the aircraft", unit="kg", high=1_000_000.0),
    AircraftEntry(
        _PSI,
        _PSI,
        "pressure of the main hydraulic system",
        unit="psi",
        high=10_000.0,
        authority="hydraulics",
    ),
    AircraftEntry("throttle_{}", "throttle_fraction", "throttle {}, 0 idle to 1 full", _engines),
    AircraftEntry(
        *("n1_{}", "n1_fraction", "N1 of engine {}, 1 is its rated speed", _engines),
        high=1.5,
        there=lambda aircraft: aircraft.gear_warning.power_by == "n1",
    ),
    AircraftEntry(
        *("torque_{}", "torque_fraction", "torque of engine {}, 1 is its rated torque", _engines),
        high=1.5,
        there=lambda aircraft: aircraft.gear_warning.power_by == "torque",
    ),
    AircraftEntry("strut_{}", "strut_compressed", "squat switch of the {} leg", _struts, _STRUT),
    AircraftEntry(
        "simulator_handle", "gear_handle", "gear handle of the simulator", words=("up", "down")
    ),
    AircraftEntry(
        "engine_{}",
        "engine_running",
        "engine {}, which drives its hydraulic supply",
        _engines,
        _RUNNING,
    ),
    AircraftEntry(
        "bus_power",
        "bus_powered",
        "power of the electrical bus; unknown counts as on",
        words=_POWER,
    ),
    AircraftEntry(
        "bus_voltage_v",
        "bus_voltage_v",
        "voltage of the electrical bus; unknown counts as the nominal one",
        unit="V",
        high=250.0,
        there=lambda aircraft: aircraft.gear_power.nominal_v is not None,
    ),
    AircraftEntry(
        _PEDAL,
        _PEDAL,
        "steering pedals of the simulator, -1 left to 1 right",
        low=-1.0,
        there=_steers,
    ),
    AircraftEntry(
        "{}_pedal",
        "brake_pedal_fraction",
        "{} brake pedal of the simulator, 0 free to 1",
        _sides,
        there=_brakes,
    ),
    AircraftEntry(
        "{}_fed_brake_psi",
        "brake_pressure_psi",
        "pressure in the {} brakes, from the feed",
        _sides,
        unit="psi",
        high=10_000.0,
        there=_brakes,
        authority="brakes",
    ),
    AircraftEntry(
        "{}_wheel_rpm",
        "wheel_speed_rpm",
        "speed of the {} wheel",
        _wheels,
        unit="rpm",
        high=5000.0,
        there=_antiskid,
    ),
    AircraftEntry(
        "{}_fed_antiskid",
        "antiskid_working",
        "anti-skid of the {} wheel, from the feed",
        _wheels,
        _WORKING,
        there=_antiskid,
        authority="antiskid",
    ),
    AircraftEntry(
        "{}_up_lock",
        "leg_locks",
        "up-lock switch of the {} leg",
        _legs,
        _LOCK,
        part="up_locked",
        authority="legs",
    ),
    AircraftEntry(
        "{}_down_lock",
        "leg_locks",
        "down-lock switch of the {} leg",
        _legs,
        _LOCK,
        part="down_locked",
        authority="legs",
    ),
    AircraftEntry(
        "simulation",
        "paused",
        "whether the simulation is paused; unknown counts as running",
        words=("paused", "running"),
    ),
    AircraftEntry(
        "simulation_rate",
        "simulation_rate",
        "seconds of the simulation in a second; unknown counts as 1",
        high=64.0,
    ),
)
