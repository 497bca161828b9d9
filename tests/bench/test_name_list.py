"""The command that lists every name."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from panelbridge.bench.language.name_list import event_rows, fault_rows, name_tables, signal_rows
from panelbridge.bench.language.names import Names
from panelbridge.cli.app import app
from panelbridge.config.load import load_aircraft, load_panel
from panelbridge.config.shipped import shipped_config

AIRCRAFT = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
NAMES = Names(AIRCRAFT, None)


def test_a_signal_of_a_leg_is_listed_once_for_all_legs() -> None:
    rows = {name: (label, can_be) for name, label, can_be in signal_rows(NAMES)}
    assert rows["LEG_green"] == ("lamp: LEG leg locked down", "`lit`, `dark`")
    assert rows["strut_LEG"][1] == "`compressed`, `extended`, `unknown`"
    assert rows["throttle_2"][0] == "throttle 2, 0 idle to 1 full (value)"
    assert rows["airspeed_kias"][1] == "0 to 1000 kt, `unknown`"
    assert rows["horn_sounding"][1] == "`true` or `false`"
    assert not {f"{leg}_green" for leg in NAMES.legs} & {*rows}


def test_faults_and_events() -> None:
    assert dict(fault_rows(NAMES))["handle_red"] == "`dead`"
    rows = dict(event_rows(NAMES))
    assert [*rows] == [*NAMES.events]
    assert rows["leg_unlocked"] == "the ... leg was unlocked"
    assert all(words.strip(". ") for words in rows.values())


def test_a_panel_lists_only_what_it_has() -> None:
    loaded = load_panel(shipped_config("panels/first_lamp.yaml"))
    names = {row[0] for row in signal_rows(Names(loaded.aircraft, loaded.panel))}
    assert "lamp_test" not in names
    assert "gear_handle" in names


def test_legs_with_names_of_two_words_are_listed_once_for_all() -> None:
    loaded = load_panel(shipped_config("panels/four_engine_freighter_panel.yaml"))
    names = Names(loaded.aircraft, loaded.panel)
    rows = {row[0]: row[1] for row in signal_rows(names)}
    assert rows["LEG_travel"] == "travel of the LEG leg, 0 up to 1 down"
    assert rows["LEG_green"] == "lamp: LEG leg locked down"
    assert rows["strut_LEG"] == "squat switch of the LEG leg (value)"
    assert not [name for name in rows if "left_front" in name and "door" not in name]
    assert not [label for label in rows.values() if "_" in label.replace("LEG_", "")]
    assert "left_front_leg" not in dict(fault_rows(names))


def test_the_command_prints_the_tables() -> None:
    path = str(shipped_config("aircraft/twin_jet.yaml"))
    result = CliRunner().invoke(app, ["names", path])
    assert result.exit_code == 0
    assert result.output == name_tables(NAMES) + "\n"


@pytest.mark.parametrize("path", ["feeds/demo_flight.yaml"])
def test_a_file_of_another_kind_is_an_error_in_words(path: str) -> None:
    from panelbridge.errors import UsageError

    result = CliRunner().invoke(app, ["names", str(shipped_config(path))])
    assert isinstance(result.exception, UsageError)
    assert "is no panel or aircraft file" in str(result.exception)


def test_no_event_of_an_absent_system_is_listed() -> None:
    """The smallest aircraft has no hydraulics, brakes or anti-skid, and nothing says they are."""
    small = Names(load_aircraft(shipped_config("aircraft/first_steps.yaml")), None)
    text = name_tables(small)
    for word in ("aux_pump", "antiskid", "reservoir", "emergency", "gear_door", "brake_energy"):
        assert word not in text, word
    assert "leg_locked_down" in text
    assert {*small.events} < {*NAMES.events}
