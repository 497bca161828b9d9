"""The board's page and the switches of an aircraft that has everything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelbridge.dashboard.board_view import BoardPicture, draw_board
from panelbridge.dashboard.equipment import Equipment
from panelbridge.dashboard.help import help_lines
from panelbridge.dashboard.keys import plan_keys
from panelbridge.dashboard.lamps import plan_lamps
from panelbridge.dashboard.leg_block import leg_block
from panelbridge.dashboard.pieces import Line, Look, Target, text_of, width_of
from panelbridge.dashboard.ports import SwitchControl
from panelbridge.dashboard.switch_block import (
    SwitchDesk,
    lever_text,
    name_piece,
    seen,
    switch_block,
)
from panelbridge.signals import LegState, Outputs, SwitchState
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.fakes import FakeControls

SWITCHES = full_aircraft.SWITCHES
PLACES = FakeControls(SWITCHES).places
DESK = SwitchDesk(SWITCHES, plan_keys(SWITCHES).shown, PLACES, simulated=True)


def picture(**changes: object) -> BoardPicture:
    return BoardPicture(
        replace(full_aircraft.FULL, **changes),  # type: ignore[arg-type]
        "title",
        DESK,
        full_aircraft.LAMPS,
        scenes.HORN_LOOK,
        equipment=full_aircraft.EQUIPMENT,
    )


def texts(lines: list[Line]) -> list[str]:
    return [text_of(line) for line in lines]


@pytest.mark.parametrize(("width", "height"), [(80, 24), (120, 40), (112, 24)])
def test_links_and_log_keep_their_rows(width: int, height: int) -> None:
    lines = draw_board(picture(logic=replace(full_aircraft.FULL.logic, faults=())), width, height)
    assert {width_of(line) for line in lines} == {width}
    assert len(lines) <= height - 5
    text = "\n".join(texts(lines))
    assert "more on page 2" in text
    assert "Gear handle" in text
    assert "PARK BRAKE" in text


def test_a_high_screen_shows_every_switch_and_the_gauges_on_the_board() -> None:
    text = "\n".join(texts(draw_board(picture(), 160, 60)))
    assert "page 2" not in text
    assert "Tiller" in text or "Steering tiller" in text
    assert "Gauges" in text
    assert "lock of the gear handle" in text


def test_lamps_in_the_third_column_give_way_to_the_lit_ones() -> None:
    text = "\n".join(texts(draw_board(picture(), 120, 40)))
    assert "Other lamps that are lit" in text
    assert "31 others on page 4" in text
    assert "○ dark" not in text.split("Other lamps that are lit")[1]
    lit = dict.fromkeys(full_aircraft.FULL.outputs.lamps, 255)
    outputs = replace(full_aircraft.FULL.outputs, lamps=lit)
    text = "\n".join(texts(draw_board(picture(outputs=outputs), 120, 40)))
    rows = text.split("Other lamps that are lit")[1].count("● LIT")
    assert f"{34 - rows} more lit on page 4" in text


def test_few_lamps_keep_their_rows() -> None:
    few = replace(picture(), lamp_looks=scenes.LAMPS)
    text = "\n".join(texts(draw_board(few, 80, 24)))
    assert " Lamps " in text
    assert " Lit " not in text


@pytest.mark.parametrize("width", [40, 60])
def test_a_narrow_board_has_room_for_the_aircraft(width: int) -> None:
    text = "\n".join(texts(draw_board(picture(), width, 24)))
    assert "Airspeed" in text
    assert "more on page 2" in text


def test_without_steering_and_pressure_neither_is_shown() -> None:
    plain = replace(picture(), equipment=Equipment(steering=False, pressure=False))
    text = "\n".join(texts(draw_board(plain, 80, 24)))
    assert "STEERING" not in text
    assert "steering off" not in text
    assert "Pressure" not in text


@pytest.mark.parametrize("width", [40, 44, 56, 60, 80, 120])
def test_long_names_of_legs_are_whole(width: int) -> None:
    names = ("nose", "left_front", "left_rear", "right_front", "right_rear")
    legs = tuple(scenes.leg(name, LegState.DOWN_LOCKED, 1.0, True) for name in names)
    lamps = {f"{name}_{colour}": 255 for name in names for colour in ("green", "red")}
    plan = plan_lamps((), lamps, names)
    lines = leg_block(legs, Outputs(lamps=lamps), plan, width, titled=True)
    assert {width_of(line) for line in lines} == {width}
    for name, line in zip(names, texts(lines)[1:], strict=True):
        if width > 40:
            assert line.startswith(f" {name} ")
        assert "locked down" in line
        assert line.count("● LIT") == 2
        assert ("─" in line) is (width >= 80)


# Switches


@pytest.mark.parametrize("width", [39, 40, 48, 60, 80])
def test_names_keys_grips_and_reports_have_a_gap_between_them(width: int) -> None:
    lines = switch_block(DESK, full_aircraft.FULL.switches, width)
    for control, line in zip(SWITCHES, lines[1:], strict=True):
        name, key = line[0].text, line[1].text
        assert name.startswith(" ")
        assert name.endswith(" "), control.name
        assert "…" not in name
        assert key.endswith(" ")
        assert width_of(line) == width


@pytest.mark.parametrize("width", [24, 30, 38])
def test_without_room_for_a_grip_the_report_can_be_clicked(width: int) -> None:
    lines = switch_block(DESK, full_aircraft.FULL.switches, width)
    targets = [next(p.target for p in line if p.target) for line in lines[1:]]
    assert [target.switch for target in targets] == [control.name for control in SWITCHES]
    toggles = {t.switch: t.position for t in targets if t.switch in ("night", "emergency_extend")}
    assert toggles == {"night": "on", "emergency_extend": "pulled"}


def test_a_toggle_shows_where_it_stands_and_goes_to_the_other_side() -> None:
    on = replace(DESK, positions={**PLACES, "antiskid": "on", "emergency_brake": "pressed"})
    rows = {
        control.name: line
        for control, line in zip(SWITCHES, switch_block(on, SwitchState(), 40)[1:], strict=True)
    }
    grips = {name: next(p for p in line if p.target) for name, line in rows.items()}
    assert grips["antiskid"].text == "[ ON ]"
    assert grips["antiskid"].target == Target("antiskid", "off")
    assert grips["night"].text == "( off )"
    assert grips["night"].target == Target("night", "on")
    assert grips["emergency_brake"].text == "[ SET ]"
    assert grips["emergency_extend"].text == "( stowed )"
    assert all(len(p.text) <= 11 for p in grips.values())
    assert grips["antiskid"].look is Look.HELD
    assert grips["night"].look is Look.GRIP
    narrow = switch_block(on, SwitchState(night=True), 30)
    reports = {p.target.switch: p for line in narrow for p in line if p.target}
    assert reports["night"].look is Look.STRONG
    assert reports["antiskid"].look is Look.QUIET
    held = replace(DESK, positions={**PLACES, "hand_pump": "pressed"})
    pushed = [p for line in switch_block(held, SwitchState(), 30) for p in line if p.target]
    assert [p.target.switch for p in pushed if p.look is Look.HELD and p.target] == ["hand_pump"]


def test_known_levers_stand_out_and_unknown_ones_do_not() -> None:
    lever = control("parking_brake")
    assert seen(lever, SwitchState(parking_brake_fraction=0.0), 9).look is Look.STRONG
    assert seen(lever, SwitchState(), 9).look is Look.QUIET


@pytest.mark.parametrize("cells", [11, 12, 13, 14])
def test_a_name_keeps_a_space_on_either_side(cells: int) -> None:
    name = name_piece(SwitchControl("tail_hook", "tail hook", "button"), cells).text
    assert name.strip() == "Tail hook"
    assert len(name) == cells
    short = name_piece(control("aux_pump"), 15).text
    assert short == " Aux pump      "
    assert name_piece(control("aux_pump"), 16).text == " Auxiliary pump "


def control(name: str) -> SwitchControl:
    return next(c for c in SWITCHES if c.name == name)


@pytest.mark.parametrize(
    ("name", "switches", "words"),
    [
        ("antiskid", SwitchState(antiskid=True), "● on"),
        ("antiskid", SwitchState(antiskid=False), "○ off"),
        ("antiskid", SwitchState(), "? unknown"),
        ("emergency_extend", SwitchState(emergency_extend=True), "● pulled"),
        ("hand_pump", SwitchState(hand_pump=False), "○ free"),
        ("emergency_brake", SwitchState(emergency_brake_fraction=1.0), "● set"),
        ("emergency_brake", SwitchState(emergency_brake_fraction=0.0), "○ free"),
        ("emergency_brake", SwitchState(emergency_brake_fraction=0.5), "● set"),
        ("emergency_brake", SwitchState(emergency_brake_fraction=0.49), "○ free"),
        ("emergency_brake", SwitchState(), "? unknown"),
        ("parking_brake", SwitchState(parking_brake_fraction=0.35), "35%"),
        ("parking_brake", SwitchState(), "? unknown"),
        ("tiller", SwitchState(tiller_fraction=0.5), "centre"),
        ("tiller", SwitchState(tiller_fraction=0.0), "L 100%"),
        ("tiller", SwitchState(tiller_fraction=0.7), "R  40%"),
        ("tiller", SwitchState(tiller_fraction=0.505), "R   1%"),
        ("tiller", SwitchState(tiller_fraction=1.0), "R 100%"),
        ("tiller", SwitchState(), "? unknown"),
    ],
)
def test_what_the_board_sees_of_each_form(name: str, switches: SwitchState, words: str) -> None:
    assert seen(control(name), switches, 12).text.strip() == words


def test_a_lever_without_a_middle_is_told_in_percent() -> None:
    assert lever_text(control("parking_brake"), 0.5).strip() == "50%"
    assert lever_text(control("dimmer"), 0.5).strip() == "50%"


def test_the_help_tells_what_each_key_does() -> None:
    text = "\n".join(help_lines(DESK, can_fly_again=False))
    assert " u        Auxiliary pump: to the other side; it stays there" in text
    assert " p <>     Parking brake: to its other end; less, more" in text
    assert "Steering tiller: to the middle; less, more" in text
    assert "Hand pump: pushes it shortly" in text
    assert "board, switches, systems, lamps" in text
    assert all(len(line) <= 75 for line in text.splitlines())
