"""The systems' values, gauges and commands in words; what is unknown is never a zero."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.cli.screen import equipment_of
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.blocks.systems import (
    aircraft_block,
    command_block,
    control_block,
    fault_block,
    gauge_block,
    system_blocks,
)
from panelbridge.dashboard.blocks.value_cells import value_span
from panelbridge.dashboard.interfaces import Equipment, ValueLook
from panelbridge.dashboard.text.columns import Block
from panelbridge.dashboard.text.lines import TextStyle, width_of
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import Commands, GearPosition, LogicView, Outputs, Value
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.text import text_of

FULL, EQUIPMENT = full_aircraft.FULL, full_aircraft.EQUIPMENT


NUMBER = ValueLook("x", "x", "number", "psi")


def test_the_made_up_sections_are_those_of_a_shipped_aircraft() -> None:
    """Titles, names, forms and units; that aircraft has no hand pump."""

    def shape(equipment: Equipment) -> list[tuple[str, str, str, str]]:
        sections = equipment.systems.items()
        return [(title, v.name, v.form, v.unit) for title, values in sections for v in values]

    shipped = equipment_of(load_panel(shipped_config("panels/demo_panel.yaml")))
    made_up = [look for look in shape(EQUIPMENT) if look[1] != "hand_pump_strokes"]
    assert made_up == shape(shipped)
    assert [gauge.name for gauge in EQUIPMENT.gauges] == [gauge.name for gauge in shipped.gauges]


def words(block: Block) -> dict[str, str]:
    """Label and value of each row."""
    rows = [text_of(line) for line in block[1:]]
    return {row[:25].strip(): row[25:].strip() for row in rows}


@pytest.mark.parametrize(
    ("look", "value", "shown"),
    [
        (NUMBER, 2764.3, "2764 psi"),
        (NUMBER, 0.0, "0 psi"),
        (NUMBER, None, "?"),
        (ValueLook("x", "x", "number", "l"), 6.2, "6.20 l"),
        (ValueLook("x", "x", "number", "knots"), 220.4, "220 kt"),
        (ValueLook("x", "x", "number", "degrees"), -11.5, "-11.5 deg"),
        (ValueLook("x", "x", "number", "s"), 37.4, "37 s"),
        (ValueLook("x", "x", "number", "%"), 0.25, "25 %"),
        (ValueLook("x", "x", "number", "ft"), 3150.4, "3150 ft"),
        (ValueLook("x", "x", "number", "rpm"), 198.4, "198 rpm"),
        (ValueLook("x", "x", "number", "furlongs"), 1.5, "1.5 furlongs"),
        (ValueLook("x", "x", "number"), 3.0, "3"),
        (ValueLook("x", "x", "number"), 4.5, "4.5"),
        (ValueLook("x", "x", "word"), "locked_out", "locked out"),
        (ValueLook("x", "x", "word"), None, "? unknown"),
        (ValueLook("x", "x", "word"), "unknown", "? unknown"),
        (ValueLook("x", "x", "yes_no"), True, "● yes"),
        (ValueLook("x", "x", "yes_no"), False, "○ no"),
        (ValueLook("x", "x", "yes_no"), None, "? unknown"),
    ],
)
def test_values(look: ValueLook, value: Value, shown: str) -> None:
    assert value_span(look, {"x": value}, 20).text.strip() == shown


@pytest.mark.parametrize("width", [20, 38, 40, 60])
@pytest.mark.parametrize("snapshot", [FULL, scenes.NOT_YET, scenes.START])
def test_every_line_is_as_wide_as_its_column(width: int, snapshot: Snapshot) -> None:
    blocks = [
        *system_blocks(snapshot, EQUIPMENT, width),
        gauge_block(snapshot, EQUIPMENT, width),
        command_block(snapshot, EQUIPMENT, width),
        aircraft_block(snapshot, EQUIPMENT, width),
        control_block(snapshot, EQUIPMENT, width),
    ]
    assert {width_of(line) for block in blocks for line in block} == {width}


@pytest.mark.parametrize("values", [{}, dict.fromkeys(full_aircraft.VALUES)])
def test_unknown_values_are_question_marks(values: dict[str, Value]) -> None:
    snapshot = replace(FULL, logic=LogicView(values=values))
    for block in system_blocks(snapshot, EQUIPMENT, 40):
        for label, shown in words(block).items():
            never = label == "highest exceedance" and "gear_speed_highest_kias" in values
            assert shown in ("– never",) if never else shown in ("?", "? unknown")


def test_a_long_word_takes_from_its_label() -> None:
    value = {"cold_weather_state": "gear_may_be_raised"}
    snapshot = replace(FULL, logic=LogicView(values=value))
    lines = [text_of(line) for block in system_blocks(snapshot, EQUIPMENT, 38) for line in block]
    assert any("gear may be raised" in line for line in lines)


def test_before_the_first_data_no_command_is_known() -> None:
    shown = words(command_block(scenes.NOT_YET, EQUIPMENT, 40))
    assert shown.pop("hydraulic consumers") == ""
    assert shown.pop("? unknown") == ""
    assert shown.pop("") == "", "a second row is kept for them"
    assert set(shown.values()) == {"? unknown"}


def test_the_commands_to_the_simulator() -> None:
    shown = words(command_block(FULL, EQUIPMENT, 40))
    assert shown["gear"] == "▼ down"
    assert shown["emergency extension"] == "○ off"
    assert shown["auxiliary pump"] == "● run"
    assert shown["steering"] == "● engaged"
    assert shown["nose wheel"] == "-11.5 deg"
    assert shown["brake right inner"] == "25 %"
    assert shown["parking brake"] == "○ released"
    assert shown["anti-skid"] == "● active"
    assert "gear, flaps, wheel brakes" in "\n".join(
        map(text_of, command_block(FULL, EQUIPMENT, 40))
    )


def test_other_commands() -> None:
    commands = Commands(GearPosition.UP, emergency_extend=True, parking_brake=True)
    shown = words(command_block(replace(FULL, commands=commands), EQUIPMENT, 40))
    assert shown["gear"] == "▲ up"
    assert shown["emergency extension"].startswith("● active")
    assert shown["parking brake"] == "● set"
    assert shown["brake left outer"] == "?"
    assert "○ none" in shown
    nothing = words(command_block(replace(FULL, commands=Commands()), EQUIPMENT, 40))
    assert nothing["gear"] == "○ none"
    assert nothing["anti-skid"] == "○ off"
    assert nothing["auxiliary pump"] == "○ stop"


def test_what_the_aircraft_lacks_is_not_shown() -> None:
    assert set(words(command_block(FULL, Equipment(steering=False), 40))) == {"gear"}
    plain = words(aircraft_block(FULL, Equipment(steering=False), 40))
    assert set(plain) == {"airspeed", "ground speed", "altitude", "flaps", "electric power"}
    assert control_block(FULL, Equipment(steering=False), 40)[1:] == []
    assert gauge_block(FULL, Equipment(), 40) == []
    assert system_blocks(FULL, Equipment(), 40) == []


def test_the_aircrafts_data() -> None:
    shown = words(aircraft_block(FULL, EQUIPMENT, 40))
    assert shown["airspeed"] == "206 kt"
    assert shown["engine 1 running"] == "● yes"
    assert shown["engine 2 running"] == "? unknown"
    assert shown["throttle 2"] == "40 %"
    shown = words(control_block(FULL, EQUIPMENT, 40))
    assert shown["left brake pedal"] == "20 %"
    assert shown["right brake pedal"] == "?"
    assert shown["wheel left inner"] == "12 rpm"
    assert shown["wheel right inner"] == "?"
    assert shown["steering pedals"] == "-30 %"


def test_gauges_and_solenoids() -> None:
    shown = words(gauge_block(FULL, EQUIPMENT, 40))
    assert shown == {
        "hydraulic pressure": "2760 psi",
        "emergency air": "?",
        "brake accumulator": "– not fitted",
        "left brake": "– not fitted",
        "right brake": "– not fitted",
        "handle lock": "● engaged",
    }
    free = replace(FULL, outputs=replace(FULL.outputs, solenoids={"handle_lock": False}))
    assert words(gauge_block(free, EQUIPMENT, 40))["handle lock"] == "○ released"
    none = replace(FULL, outputs=Outputs())
    assert words(gauge_block(none, EQUIPMENT, 40))["handle lock"] == "? unknown"
    wide = "\n".join(map(text_of, gauge_block(FULL, EQUIPMENT, 60)))
    assert "– not fitted" in wide.split("brake accumulator")[1].splitlines()[0]


def test_a_gauge_without_a_link_is_not_said_to_obey() -> None:
    lost = replace(FULL, boards=scenes.LOST.boards)
    shown = words(gauge_block(lost, EQUIPMENT, 40))
    assert shown["hydraulic pressure"] == "? no link"
    assert shown["handle lock"] == "? no link"
    without_board = Equipment(
        gauges=(ValueLook("hydraulic_pressure", "p", unit="psi"),),
        solenoids=(ValueLook("handle_lock", "lock"),),
        boards={"hydraulic_pressure": ""},
    )
    assert words(gauge_block(lost, without_board, 40)) == {"p": "2760 psi", "lock": "– not fitted"}


def test_every_fault_is_marked_once_and_shown_in_full() -> None:
    lines = [text_of(line) for line in fault_block(FULL, 38)]
    assert [line.rstrip() for line in lines[1:]] == [
        " X the gear's power was cut off by",
        "   its travel limit",
        " X anti-skid failed on the left outer",
        "   wheel",
        " X the auxiliary pump gives no",
        "   pressure",
    ]
    assert {len(line) for line in lines} == {38}


def test_unknown_is_quiet_and_known_is_not() -> None:
    assert value_span(NUMBER, {"x": None}, 10).style is TextStyle.QUIET
    assert value_span(NUMBER, {"x": 0.0}, 10).style is TextStyle.TEXT
