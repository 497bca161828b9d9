"""What an aircraft needs of a panel: its switches, lamps, gauges and solenoids by name.

Switches and gauges have the names of ``SwitchState`` and of the panel file, lamps those of
``Outputs.lamps``: they are the lamps of the systems that the aircraft has, and its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from panelbridge.clock import TimerHeap
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.events import EventLog
from panelbridge.logic.legs import LegFault
from panelbridge.logic.signal_table import SignalSpec, signals_of
from panelbridge.logic.system import System, ValueInfo
from panelbridge.logic.systems import Systems


@dataclass(frozen=True, slots=True)
class Need:
    """A switch, gauge or solenoid.

    Attributes:
        label: words for people.
        required: a panel without it has to say so.
    """

    label: str
    required: bool


@dataclass(frozen=True, slots=True)
class LampNeed:
    """A lamp.

    Attributes:
        label: words for people.
        required: a panel without it has to say so.
        colours: what it may be: red for a warning, amber for a caution, green for safe (14 CFR
            25.1322, and 23.1322, Amdt 23-43); any other colour for the rest.
    """

    label: str
    required: bool
    colours: tuple[str, ...]


_LAMP_LABELS: Mapping[str, str] = {
    "gear_power_amber": "power of the gear cut off or missing",
    "hydraulic_pressure_low_amber": "hydraulic pressure low",
    "hydraulic_fluid_low_amber": "hydraulic fluid low",
    "aux_pump_left_on_amber": "auxiliary pump left on",
    "air_low_amber": "emergency air low",
    "retract_locked_out_amber": "gear locked out after an emergency extension",
    "steering_green": "steering engaged",
    "steering_unavailable_amber": "steering not available",
    "parking_brake_amber": "parking brake not fully released",
    "takeoff_brake_red": "take-off with the parking brake on",
    "brake_energy_low_amber": "stored brake energy low",
    "antiskid_off_amber": "anti-skid off before landing",
    "speed_amber": "too fast for the gear",
    "leave_gear_down_amber": "leave the gear down",
    "pump_brakes_amber": "pump the brakes",
    "antiskid_reminder_amber": "switch anti-skid on again",
}
_REQUIRED_LAMPS = ("parking_brake_amber",)
"""Lamps of systems that a panel must have or say that it lacks: 14 CFR 25.735(d)."""


def switches_of(aircraft: AircraftParameters) -> Mapping[str, Need]:
    """Every switch that the aircraft's systems read."""
    needs = {
        "gear_handle": Need("gear handle", required=True),
        "horn_silence": Need("horn silence", required=True),
        "lamp_test": Need("lamp test", required=True),
        "warning_test": Need("warning test", required=False),
        "dimmer": Need("dimmer", required=False),
    }
    for name, label, required, there in _switches_of_systems(aircraft):
        if there:
            needs[name] = Need(label, required)
    return needs


def _switches_of_systems(
    aircraft: AircraftParameters,
) -> Sequence[tuple[str, str, bool, bool]]:
    """Name, label, whether a panel must have it, and whether a system reads it."""
    silences = aircraft.gear_warning.silence_controls
    steers = aircraft.steering.steering_leg is not None
    hydraulics, emergency, brakes = aircraft.hydraulics, aircraft.emergency, aircraft.brakes
    limited = aircraft.gear_power.travel_limit_s is not None
    pump = emergency is not None and emergency.means == "hand_pump"
    handle = emergency is not None and not (pump and emergency.pump_without_handle)
    levers = "lever_horn_silence" in silences and aircraft.engines > 0
    return (
        ("steering_button", "steering", True, steers),
        ("lever_horn_silence", "horn silence on the throttle lever", False, levers),
        ("second_steering_button", "second steering button", False, steers),
        ("downlock_release", "down-lock release", False, aircraft.handle_lock.leg is not None),
        ("gear_reset", "gear reset", False, limited or emergency is not None),
        (
            "aux_pump",
            "auxiliary pump",
            True,
            hydraulics is not None and hydraulics.aux_pump is not None,
        ),
        ("emergency_extend", "emergency extension handle", True, handle),
        ("hand_pump", "hand pump", True, pump),
        ("antiskid", "anti-skid", True, aircraft.antiskid is not None),
        ("cold_weather", "cold-weather routine", True, aircraft.cold_weather is not None),
        ("night", "night lighting", False, True),
        ("fluid_test", "low-fluid test", False, hydraulics is not None),
        (
            "parking_brake",
            "parking brake",
            True,
            brakes is not None and brakes.parking_brake,
        ),
        (
            "emergency_brake",
            "emergency brake",
            True,
            brakes is not None and brakes.emergency_brake,
        ),
        ("left_brake", "left brake pedal", False, brakes is not None),
        ("right_brake", "right brake pedal", False, brakes is not None),
        ("tiller", "steering tiller", False, steers),
    )


def lamps_of(aircraft: AircraftParameters) -> Mapping[str, LampNeed]:
    """Every lamp of the aircraft: those of its systems, then the builder's own."""
    needs = dict(system_lamps_of(aircraft))
    for name, lamp in aircraft.own_lamps.items():
        needs[name] = LampNeed(lamp.label, False, _colours(name))
    return needs


def system_lamps_of(aircraft: AircraftParameters) -> Mapping[str, LampNeed]:
    """Every lamp that the aircraft's systems light."""
    needs = {}
    for leg in aircraft.legs:
        needs[f"{leg.name}_green"] = LampNeed(f"{leg.name} leg locked down", True, ("green",))
    for leg in aircraft.legs:
        needs[f"{leg.name}_red"] = LampNeed(f"{leg.name} leg not locked", True, ("red",))
    needs["handle_red"] = LampNeed("light in the gear handle", False, ("red",))
    for part in parts_of(aircraft):
        for name in part.lamp_rules:
            needs[name] = LampNeed(_lamp_label(name), name in _REQUIRED_LAMPS, _colours(name))
    return needs


def _lamp_label(name: str) -> str:
    label = _LAMP_LABELS.get(name)
    if label is None:  # of one wheel: left_outer_antiskid_amber
        label = f"anti-skid failed, {name.rsplit('_antiskid_', 1)[0].replace('_', ' ')} wheel"
    return label


def _colours(name: str) -> tuple[str, ...]:
    return (name.rsplit("_", 1)[1],)


def warning_tested_of(aircraft: AircraftParameters) -> frozenset[str]:
    """The lamps that the gear warning test lights: the gear's, or the red ones of these."""
    greens = {f"{leg.name}_green" for leg in aircraft.legs}
    reds = {f"{leg.name}_red" for leg in aircraft.legs} | {"handle_red"}
    all_of_them = aircraft.lamps.warning_test_lights == "gear_lamps"
    return frozenset(reds | greens if all_of_them else reds)


def gauges_of(aircraft: AircraftParameters) -> Mapping[str, Need]:
    """Every gauge that the aircraft's systems move."""
    needs = {"hydraulic_pressure": Need("hydraulic pressure", required=False)}
    if aircraft.emergency is not None and aircraft.emergency.means == "air":
        needs["emergency_air"] = Need("emergency air", required=False)
    if aircraft.brakes is not None and aircraft.brakes.needs_hydraulics:
        needs["brake_accumulator"] = Need("brake applications left", required=False)
    return needs


def solenoids_of(aircraft: AircraftParameters) -> Mapping[str, Need]:
    """Every solenoid that the aircraft's systems hold."""
    if aircraft.handle_lock.leg is None:
        return {}
    return {"handle_lock": Need("lock of the gear handle", required=False)}


def published_of(aircraft: AircraftParameters) -> tuple[ValueInfo, ...]:
    """Every value that the aircraft's systems publish."""
    return tuple(info for part in parts_of(aircraft) for info in part.published)


def signals_of_aircraft(aircraft: AircraftParameters) -> Mapping[str, SignalSpec]:
    """Every signal of an aircraft, with all switches and lamps that it can have."""
    return signals_of(
        aircraft,
        switches={name: need.label for name, need in switches_of(aircraft).items()},
        lamps={name: need.label for name, need in lamps_of(aircraft).items()},
        published=published_of(aircraft),
    )


def faults_of(aircraft: AircraftParameters) -> Mapping[str, tuple[str, ...]]:
    """What can be broken on the bench, and how."""
    found = {name: kinds for part in parts_of(aircraft) for name, kinds in part.fault_kinds.items()}
    if aircraft.authority.legs == "feed":  # no system of ours, but their lock switches can lie
        found.update({leg.name: tuple(LegFault) for leg in aircraft.legs})
    return found


_known: list[tuple[AircraftParameters, tuple[System, ...]]] = []
_KEPT = 16


def parts_of(aircraft: AircraftParameters) -> tuple[System, ...]:
    """The aircraft's systems as they are made, to be asked what they have. Never to be run."""
    for known, parts in _known:
        if known is aircraft:
            return parts
    parts = Systems(aircraft, TimerHeap(), EventLog()).parts
    _known.append((aircraft, parts))
    del _known[:-_KEPT]
    return parts
