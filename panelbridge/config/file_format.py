"""The version of the files' layout, and the keys that were renamed in it."""

from __future__ import annotations

from typing import NamedTuple

FORMAT = 2


class Renamed(NamedTuple):
    """A key of format 1 and what is written instead."""

    kind: str
    """Kind of file."""
    old: str
    new: tuple[str, ...]
    """Keys that took its place; the first is the usual one."""
    example: str
    """How it is written now."""


RENAMED = (
    Renamed("feed", "throttle_fraction", ("throttles", "throttle_1"), "throttle_1: 0.3"),
    Renamed("feed", "strut_compressed", ("struts", "strut_nose"), "strut_nose: compressed"),
    Renamed("feed", "gear_handle", ("simulator_handle",), "simulator_handle: down"),
    Renamed("feed", "engine_running", ("engines", "engine_1"), "engine_1: running"),
    Renamed("feed", "bus_powered", ("bus_power",), "bus_power: on"),
    Renamed("feed", "wheel_speed_rpm", ("wheels_rpm",), "left_wheel_rpm: 200"),
    Renamed("feed", "brake_pedal_fraction", ("pedals", "left_pedal"), "left_pedal: 0.5"),
    Renamed("feed", "brake_pressure_psi", ("left_fed_brake_psi",), "left_fed_brake_psi: 900"),
    Renamed("feed", "antiskid_working", (), "left_fed_antiskid: working"),
    Renamed("aircraft", "gear_handle", ("simulator_handle",), "simulator_handle: down"),
)
"""Every key that was renamed from format 1 to 2: of values in feed files and of starts."""
