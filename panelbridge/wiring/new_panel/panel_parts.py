"""What a first panel can have besides handle, greens and horn, in the order of its use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of

HANDLE = "gear_handle"
HORN = "horn"


class PanelExtra(Struct, frozen=True):
    """Something that a builder adds as a whole.

    Attributes:
        title: what it is, for the question.
        names: its switches and lamps; those that the aircraft has are fitted. ``*_red`` stands for
            the red lamps of all legs.
    """

    title: str
    names: tuple[str, ...]


EXTRAS: Mapping[str, PanelExtra] = {
    "silence_button": PanelExtra("button that silences the horn", ("horn_silence",)),
    "lamp_test": PanelExtra("button that lights every lamp", ("lamp_test",)),
    "reds": PanelExtra("red lamp for each leg", ("*_red",)),
    "handle_light": PanelExtra("red light in the gear handle", ("handle_red",)),
    "parking_brake": PanelExtra(
        "parking brake with its lamp", ("parking_brake", "parking_brake_amber")
    ),
    "dimmer": PanelExtra("knob that dims the lamps", ("dimmer",)),
    "emergency": PanelExtra(
        "emergency extension with its lamp", ("emergency_extend", "hand_pump", "air_low_amber")
    ),
    "pump": PanelExtra(
        "hydraulic pump with its lamp", ("aux_pump", "hydraulic_pressure_low_amber")
    ),
    "antiskid": PanelExtra("anti-skid with its lamp", ("antiskid", "antiskid_off_amber")),
    "steering": PanelExtra(
        "nose-wheel steering with its lamp", ("steering_button", "steering_green")
    ),
    "gear_power": PanelExtra(
        "reset of the gear's travel limit, and its lamp", ("gear_reset", "gear_power_amber")
    ),
    "speed_lamp": PanelExtra("lamp of the gear's speed limits", ("speed_amber",)),
    "warning_test": PanelExtra("button that tests the gear warning", ("warning_test",)),
}
"""By the name that a builder writes."""


def core_names(aircraft: AircraftParameters) -> tuple[str, ...]:
    """What every panel has: the handle, the greens of the legs, the horn."""
    return (HANDLE, *leg_lamps(aircraft, "green"), HORN)


def leg_lamps(aircraft: AircraftParameters, colour: str) -> tuple[str, ...]:
    """The lamps of the legs in one colour, as one sees them: left, nose, right."""
    names = [f"{leg.name}_{colour}" for leg in aircraft.legs]
    lamps = [name for name in names if name in lamps_of(aircraft)]
    return tuple(sorted(lamps, key=lambda name: ("right" in name) - ("left" in name)))


def extra_names(extra: PanelExtra, aircraft: AircraftParameters) -> tuple[str, ...]:
    """The switches and lamps of an extra that the aircraft has."""
    known = {**switches_of(aircraft), **lamps_of(aircraft)}
    names: list[str] = []
    for name in extra.names:
        names += leg_lamps(aircraft, name[2:]) if name.startswith("*_") else [name]
    return tuple(name for name in names if name in known)


def extras_of(aircraft: AircraftParameters) -> dict[str, tuple[str, ...]]:
    """The extras that make sense for an aircraft, with their switches and lamps."""
    found = {key: extra_names(extra, aircraft) for key, extra in EXTRAS.items()}
    return {key: names for key, names in found.items() if names}


def left_out(aircraft: AircraftParameters, fitted: Sequence[str]) -> dict[str, str]:
    """Everything else that the aircraft has: names, and what they are.

    A switch and a gauge of one name are two things; ``not_fitted`` names them once.
    """
    labels: dict[str, str] = {}
    for found in (switches_of, lamps_of, gauges_of, solenoids_of):
        for name, one in found(aircraft).items():
            if name not in fitted:
                labels.setdefault(name, one.label)
    return labels
