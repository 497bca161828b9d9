"""The panel's commands by name."""

from __future__ import annotations

import re

from panelbridge.config.links.targets import LinkTarget
from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.command_values import command_values_of
from panelbridge.signals import Commands, GearPosition

TWIN_JET = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
TAIL_WHEEL = load_aircraft(shipped_config("aircraft/tail_wheel.yaml"))
FIRST_STEPS = load_aircraft(shipped_config("aircraft/first_steps.yaml"))


def test_every_command_can_be_sent() -> None:
    """Each field of ``Commands`` changes a value, but for what only systems of the panel use."""
    asked = {
        "gear": GearPosition.UP,
        "steering_engaged": True,
        "steering_deg": 5.0,
        "emergency_extend": True,
        "aux_pump": True,
        "brake_fraction": (0.1, 0.2, 0.3, 0.4),
        "parking_brake": True,
        "antiskid": True,
    }
    asked["wheel_locked"] = True
    values = [*command_values_of(TWIN_JET).values(), *command_values_of(TAIL_WHEEL).values()]
    before = [value.read(Commands()) for value in values]
    for name, change in asked.items():
        commands = Commands(**{name: change})  # type: ignore[arg-type]
        assert [value.read(commands) for value in values] != before
    left_out = set(Commands.__struct_fields__) - {*asked}
    assert left_out == {"consumers", "own_switches"}  # the latter: one value a switch


def test_values_and_words() -> None:
    values = command_values_of(TWIN_JET)
    commands = Commands(gear=GearPosition.UP, brake_fraction=(0.1, 0.2, 0.3, 0.4), antiskid=True)
    read = {name: value.read(commands) for name, value in values.items()}
    assert read["gear"] == "up"
    assert read["antiskid"] == "on"
    assert read["parking_brake"] == "released"
    assert (read["left_brake"], read["right_brake"]) == (0.2, 0.4)
    assert read["left_outer_wheel_brake"] == 0.1
    assert values["gear"].read(Commands()) is None
    assert values["left_brake"].read(Commands()) is None
    lock = command_values_of(TAIL_WHEEL)["wheel_lock"]
    states = [lock.read(Commands(wheel_locked=one)) for one in (None, True, False)]
    assert states == [None, "locked", "unlocked"]
    for value in values.values():
        assert not value.words or read[value.name] in value.words


def test_what_lasts_only_while_it_is_sent() -> None:
    held = {name for name, value in command_values_of(TWIN_JET).items() if value.is_held}
    assert {"left_brake", "right_brake", "steering_deg", "steering_engaged"} <= held
    assert not held & {"gear", "parking_brake", "aux_pump", "antiskid", "emergency_extend"}


def test_a_small_aircraft_has_few() -> None:
    assert [*command_values_of(FIRST_STEPS)] == ["gear"]


def test_the_key_reference_names_them() -> None:
    text = LinkTarget.__doc__ or ""
    for name in (*command_values_of(TWIN_JET), *command_values_of(TAIL_WHEEL)):
        general = re.sub(r"^.*_wheel_brake$", "NAME_wheel_brake", name)
        assert general in text
