"""The board's page and the switches of an aircraft that has everything."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.dashboard.blocks.lamp_cells import lay_out_lamps
from panelbridge.dashboard.blocks.legs import leg_block
from panelbridge.dashboard.blocks.switch_rows import (
    SwitchesView,
    lever_text,
    name_span,
    report_span,
    switch_block,
)
from panelbridge.dashboard.interfaces import Equipment, LampColour, LampLook, SwitchControl
from panelbridge.dashboard.pages.help_screen import help_text
from panelbridge.dashboard.pages.overview_page import draw_overview_page
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.switches.switch_keys import assign_keys
from panelbridge.dashboard.text.lines import ClickTarget, Line, TextStyle, width_of
from panelbridge.signals import LegState, Outputs, SwitchState
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.fakes import FakeControls
from tests.dashboard.text import text_of

COLOURS: tuple[LampColour, ...] = ("green", "red")
SWITCHES = full_aircraft.SWITCHES
PLACES = FakeControls(SWITCHES).places
VIEW = SwitchesView(SWITCHES, assign_keys(SWITCHES).shown, PLACES, simulated=True)


def picture(**changes: object) -> ScreenContent:
    return ScreenContent(
        replace(full_aircraft.FULL, **changes),
        "title",
        VIEW,
        full_aircraft.LAMPS,
        scenes.HORN_BOARD,
        equipment=full_aircraft.EQUIPMENT,
    )


def texts(lines: list[Line]) -> list[str]:
    return [text_of(line) for line in lines]


@pytest.mark.parametrize(("width", "height"), [(80, 24), (120, 40), (112, 24)])
def test_links_and_log_keep_their_rows(width: int, height: int) -> None:
    lines = draw_overview_page(
        picture(logic=replace(full_aircraft.FULL.logic, faults=())), width, height
    )
    assert {width_of(line) for line in lines} == {width}
    assert len(lines) <= height - 5
    text = "\n".join(texts(lines))
    assert "more on page 2" in text
    assert "Gear handle" in text
    assert "PARK BRAKE" in text


def test_a_high_screen_shows_every_switch_and_the_gauges_on_the_board() -> None:
    text = "\n".join(texts(draw_overview_page(picture(), 160, 60)))
    assert "page 2" not in text
    assert "Tiller" in text or "Steering tiller" in text
    assert "Gauges" in text
    assert "handle lock" in text


def test_lamps_in_the_third_column_give_way_to_the_lit_ones() -> None:
    text = "\n".join(texts(draw_overview_page(picture(), 120, 40)))
    assert "Other lamps that are lit" in text
    assert "31 others on page 4" in text
    assert "○ dark" not in text.split("Other lamps that are lit")[1]
    lit = dict.fromkeys(full_aircraft.FULL.outputs.lamps, 255)
    outputs = replace(full_aircraft.FULL.outputs, lamps=lit)
    text = "\n".join(texts(draw_overview_page(picture(outputs=outputs), 120, 40)))
    rows = text.split("Other lamps that are lit")[1].count(" LIT ")
    assert f"{34 - rows} more lit on page 4" in text


def test_few_lamps_keep_their_rows() -> None:
    few = replace(picture(), lamp_looks=scenes.LAMPS)
    text = "\n".join(texts(draw_overview_page(few, 80, 24)))
    assert " Lamps " in text
    assert " Lit " not in text


@pytest.mark.parametrize("width", [40, 60])
def test_a_narrow_board_has_room_for_the_aircraft(width: int) -> None:
    text = "\n".join(texts(draw_overview_page(picture(), width, 24)))
    assert "Airspeed" in text
    assert "more on page 2" in text


def test_without_steering_and_pressure_neither_is_shown() -> None:
    plain = replace(picture(), equipment=Equipment(steering=False, pressure=False))
    text = "\n".join(texts(draw_overview_page(plain, 80, 24)))
    assert "STEERING" not in text
    assert "steering off" not in text
    assert "Pressure" not in text


@pytest.mark.parametrize("width", [40, 44, 56, 60, 80, 120])
def test_long_names_of_legs_are_whole(width: int) -> None:
    names = ("nose", "left_front", "left_rear", "right_front", "right_rear")
    legs = tuple(scenes.leg(name, LegState.DOWN_LOCKED, 1.0, True) for name in names)
    looks = [LampLook(f"{name}_{colour}", "", colour) for name in names for colour in COLOURS]
    lamps = {look.name: 255 for look in looks}
    plan = lay_out_lamps(looks, lamps, names)
    lines = leg_block(legs, Outputs(lamps=lamps), plan, width, titled=True)
    assert {width_of(line) for line in lines} == {width}
    for name, line in zip(names, texts(lines)[1:], strict=True):
        if width > 40:
            assert line.startswith(f" {name.replace('_', ' ')} ")
        assert "locked down" in line
        assert line.count(" LIT") == 2
        assert ("─" in line) is (width >= 80)


# Switches


@pytest.mark.parametrize("width", [39, 40, 48, 60, 80])
def test_names_keys_grips_and_reports_have_a_gap_between_them(width: int) -> None:
    lines = switch_block(VIEW, full_aircraft.FULL.switches, width)
    for control, line in zip(SWITCHES, lines[1:], strict=True):
        name, key = line[0].text, line[1].text
        assert name.startswith(" ")
        assert name.endswith(" "), control.name
        assert "…" not in name
        assert key.endswith(" ")
        assert width_of(line) == width


@pytest.mark.parametrize("width", [24, 30, 38])
def test_without_room_for_a_grip_the_report_can_be_clicked(width: int) -> None:
    lines = switch_block(VIEW, full_aircraft.FULL.switches, width)
    targets = [next(p.target for p in line if p.target) for line in lines[1:]]
    assert [target.name for target in targets] == [control.name for control in SWITCHES]
    toggles = {t.name: t.position for t in targets if t.name in ("night", "emergency_extend")}
    assert toggles == {"night": "on", "emergency_extend": "pulled"}


def test_a_toggle_shows_where_it_stands_and_goes_to_the_other_side() -> None:
    on = replace(VIEW, positions={**PLACES, "antiskid": "on", "emergency_brake": "pressed"})
    rows = {
        control.name: line
        for control, line in zip(SWITCHES, switch_block(on, SwitchState(), 40)[1:], strict=True)
    }
    grips = {name: next(p for p in line if p.target) for name, line in rows.items()}
    assert grips["antiskid"].text == "[ ON ]"
    assert grips["antiskid"].target == ClickTarget("antiskid", "off")
    assert grips["night"].text == "( off )"
    assert grips["night"].target == ClickTarget("night", "on")
    assert grips["emergency_brake"].text == "[ SET ]"
    assert grips["emergency_extend"].text == "( stowed )"
    assert all(len(p.text) <= 11 for p in grips.values())
    assert grips["antiskid"].style is TextStyle.HELD
    assert grips["night"].style is TextStyle.GRIP
    narrow = switch_block(on, SwitchState(night=True), 30)
    reports = {p.target.name: p for line in narrow for p in line if p.target}
    assert reports["night"].style is TextStyle.STRONG
    assert reports["antiskid"].style is TextStyle.QUIET
    held = replace(VIEW, positions={**PLACES, "hand_pump": "pressed"})
    pushed = [p for line in switch_block(held, SwitchState(), 30) for p in line if p.target]
    assert [p.target.name for p in pushed if p.style is TextStyle.HELD and p.target] == [
        "hand_pump"
    ]


def test_known_levers_stand_out_and_unknown_ones_do_not() -> None:
    lever = control("parking_brake")
    assert report_span(lever, SwitchState(parking_brake=0.0), 9).style is TextStyle.STRONG
    assert report_span(lever, SwitchState(), 9).style is TextStyle.QUIET


@pytest.mark.parametrize("cells", [11, 12, 13, 14])
def test_a_name_keeps_a_space_on_either_side(cells: int) -> None:
    name = name_span(SwitchControl("tail_hook", "tail hook", "button"), cells).text
    assert name.strip() == "Tail hook"
    assert len(name) == cells
    short = name_span(control("aux_pump"), 15).text
    assert short == " Aux pump      "
    assert name_span(control("aux_pump"), 16).text == " Auxiliary pump "


def control(name: str) -> SwitchControl:
    return next(c for c in SWITCHES if c.name == name)


@pytest.mark.parametrize(
    ("name", "switches", "words"),
    [
        ("antiskid", SwitchState(antiskid=True), "● on"),
        ("antiskid", SwitchState(antiskid=False), "○ off"),
        ("antiskid", SwitchState(), "? unknown"),
        ("emergency_extend", SwitchState(emergency_extend=True), "● pulled"),
        ("hand_pump", SwitchState(hand_pump=False), "○ off"),
        ("emergency_brake", SwitchState(emergency_brake=1.0), "● set"),
        ("emergency_brake", SwitchState(emergency_brake=0.0), "○ off"),
        ("emergency_brake", SwitchState(emergency_brake=0.5), "● set"),
        ("emergency_brake", SwitchState(emergency_brake=0.49), "○ off"),
        ("emergency_brake", SwitchState(), "? unknown"),
        ("parking_brake", SwitchState(parking_brake=0.35), "35%"),
        ("parking_brake", SwitchState(), "? unknown"),
        ("tiller", SwitchState(tiller=0.5), "centre"),
        ("tiller", SwitchState(tiller=0.0), "L 100%"),
        ("tiller", SwitchState(tiller=0.7), "R  40%"),
        ("tiller", SwitchState(tiller=0.505), "R   1%"),
        ("tiller", SwitchState(tiller=1.0), "R 100%"),
        ("tiller", SwitchState(), "? unknown"),
    ],
)
def test_the_report_of_each_form(name: str, switches: SwitchState, words: str) -> None:
    assert report_span(control(name), switches, 12).text.strip() == words


def test_a_lever_without_a_middle_is_shown_in_percent() -> None:
    assert lever_text(control("parking_brake"), 0.5).strip() == "50%"
    assert lever_text(control("dimmer"), 0.5).strip() == "50%"


@pytest.mark.parametrize(
    ("simulated", "said", "not_said"),
    [(True, "You only watch", "real switches"), (False, "real switches", "You only watch")],
)
def test_the_help_of_a_screen_without_hands_says_whose_the_switches_are(
    simulated: bool, said: str, not_said: str
) -> None:
    watched = replace(VIEW, simulated=False)
    text = help_text(watched, can_fly_again=False, simulated=simulated)
    assert said in text
    assert not_said not in text


def test_the_help_says_what_each_key_does() -> None:
    text = help_text(VIEW, can_fly_again=False)
    assert " u        Auxiliary pump: other side; it stays there" in text
    assert " p <>     Parking brake: other end; less, more" in text
    assert "Steering tiller: middle; less, more" in text
    assert "Hand pump: short press" in text
    assert "panel, switches, systems, lamps, overview" in text
    assert all(len(line) <= 75 for line in text.splitlines())
