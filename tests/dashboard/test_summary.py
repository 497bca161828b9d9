"""The lit lamps and the legs in a line or two."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.dashboard.blocks.lamp_cells import lay_out_lamps
from panelbridge.dashboard.blocks.summary import leg_line, lit_lines
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.lines import TextStyle, width_of
from panelbridge.signals import LegLocks, LegState, Outputs
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.text import text_of

LAMPS = full_aircraft.LAMPS
NAMES = [look.name for look in LAMPS]


def outputs(lit: set[str]) -> Outputs:
    return Outputs(lamps={name: 255 * (name in lit) for name in NAMES})


def lines(lit: set[str], width: int = 80, most: int = 2, boards: tuple[str, ...] = ("gear_panel",)):  # type: ignore[no-untyped-def]
    plan = lay_out_lamps(LAMPS, NAMES, scenes.LEGS, boards)
    return lit_lines(plan, LAMPS, outputs(lit), width, most)


@given(st.sets(st.sampled_from(NAMES)), st.integers(24, 160), st.integers(1, 3))
def test_every_lit_lamp_is_named_or_counted(lit: set[str], width: int, most: int) -> None:
    made = lines(lit, width, most)
    assert len(made) == most
    assert {width_of(line) for line in made} == {width}
    text = " ".join(text_of(line) for line in made)
    named = sum(span.style.startswith("lit_") for line in made for span in line)
    counted = int(text.split("+")[1].split()[0]) if "+" in text else 0
    assert named + counted == len(lit)
    assert ("none lit" in text) is (not lit)


def test_each_in_its_own_colour() -> None:
    made = lines({"nose_green", "left_red", "speed_amber"})
    looks = {span.text.strip(): span.style for span in made[0] if span.style.startswith("lit_")}
    assert looks == {
        "● nose down": TextStyle.LIT_GREEN,
        "▲ left unsafe": TextStyle.LIT_RED,
        "! speed amber": TextStyle.LIT_AMBER,
    }


def test_lamps_without_a_link_are_neither_lit_nor_dark() -> None:
    line = lines({"nose_green"}, boards=())[0]
    assert not [span for span in line if span.style.startswith("lit_")]
    text = text_of(line)
    assert "● " not in text
    assert "none lit" not in text
    assert "? 40 unknown" in text


def test_lamps_with_the_same_words_are_told_apart() -> None:
    looks = (
        LampLook("nose_green", "NOSE", "green"),
        LampLook("nose_red", "NOSE", "red"),
        LampLook("door_red", "DOOR", "red"),
    )
    plan = lay_out_lamps(looks, (), ())
    assert [plan.label(look) for look in looks] == ["NOSE green", "NOSE red", "DOOR"]


@pytest.mark.parametrize("width", [120, 80, 60, 40])
@pytest.mark.parametrize("state", list(LegState))
def test_every_leg_has_its_sign_and_word(width: int, state: LegState) -> None:
    legs = tuple(
        replace(scenes.leg(name, LegState.UP_LOCKED, 0.0, False), state=state)
        for name in scenes.LEGS
    )
    line = leg_line(legs, width)
    text = text_of(line)
    assert width_of(line) == width
    assert "…" not in text
    for name in scenes.LEGS:
        assert name in text
    words = {span.text.strip(" ●○▲▼?") for span in line if span.text.strip(" ●○▲▼?")}
    assert len(words - {"Legs"}) == 4  # three names, and the one state of all


def test_a_leg_with_both_locks_made_is_an_alarm() -> None:
    wrong = replace(scenes.TRANSIT.logic.legs[0], locks=LegLocks(True, True))
    line = leg_line((wrong,), 80)
    assert "! BOTH LOCKS" in text_of(line)
    assert any(span.style is TextStyle.ALARM for span in line)


def test_without_legs() -> None:
    assert "? no leg data yet" in text_of(leg_line((), 80))
