"""The palette for all eyes: differences of lit colours, contrast, the floor of dimmed lamps.

Sources: ``colour_math.py``. Limits: 30 for normal sight and 19 for protan, deutan and tritan are
what the palette was searched for; 4.5:1 is WCAG 2.1, 1.4.3 (text), 3:1 is 1.4.11 (graphics).
"""

from __future__ import annotations

from itertools import combinations
from typing import get_args

import pytest
from rich.color import ColorSystem
from rich.style import Style

from panelbridge.dashboard.blocks.tiles import lit_ground, state_text
from panelbridge.dashboard.interfaces import LampColour, LampLook
from panelbridge.dashboard.text.lines import TextSpan, TextStyle
from panelbridge.dashboard.text.palette import (
    DIM_FLOOR,
    GROUND,
    LIGHTS,
    QUIET,
    SIXTEEN,
    STATUS,
    STYLES,
    UNLIT,
    dimmed,
    strip_of,
    styles_for,
)
from tests.dashboard.colour_math import MACHADO, ciede2000, contrast, difference, linear, luminance

COLOURS = get_args(LampColour)
PAIRS = [*combinations(LIGHTS, 2)]
LEVELS = ("lit", "mid", "low", "end")


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((50.0, 2.5, 0.0), (61.0, -5.0, 29.0), 22.8977),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((22.7233, 20.0904, -46.694), (23.0331, 14.973, -42.5619), 2.0373),
        ((90.8027, -2.0831, 1.441), (91.1528, -1.6435, 0.0447), 1.4441),
        ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_the_formula_gives_the_published_values(
    one: tuple[float, float, float], other: tuple[float, float, float], expected: float
) -> None:
    """Sharma, Wu and Dalal 2005, table 1."""
    assert ciede2000(one, other) == pytest.approx(expected, abs=5e-5)
    assert ciede2000(other, one) == pytest.approx(expected, abs=5e-5)


@pytest.mark.parametrize("vision", MACHADO)
@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_every_pair_of_lit_colours_differs_for_all_eyes(one: str, other: str, vision: str) -> None:
    assert difference(LIGHTS[one], LIGHTS[other], vision) >= (30 if vision == "normal" else 19)


@pytest.mark.parametrize("vision", MACHADO)
@pytest.mark.parametrize("colour", LIGHTS)
def test_a_lit_colour_differs_from_the_ground_and_from_what_is_not_lit(
    colour: str, vision: str
) -> None:
    for dark in (GROUND, UNLIT):
        assert difference(LIGHTS[colour], dark, vision) >= 19


def colours(style: Style) -> tuple[str, str]:
    assert style.color is not None
    assert style.bgcolor is not None
    return style.color.get_truecolor().hex, style.bgcolor.get_truecolor().hex


def test_every_colour_of_a_lamp_has_its_styles() -> None:
    assert set(COLOURS) == set(LIGHTS)
    for styles in (STYLES, SIXTEEN):
        assert set(styles) == set(TextStyle)


GRAPHICS = {
    *(TextStyle.RULE, TextStyle.EDGE, TextStyle.STATUS),
    *(TextStyle(f"{level}_{colour}") for level in ("mid", "low") for colour in LIGHTS),
}


@pytest.mark.parametrize("styles", [STYLES, SIXTEEN], ids=["all colours", "16 colours"])
@pytest.mark.parametrize("style", [style for style in TextStyle if style not in GRAPHICS])
def test_text_can_be_read(style: TextStyle, styles: dict[TextStyle, Style]) -> None:
    """14 CFR 25.1322 asks for attention, WCAG 2.1, 1.4.3, for 4.5:1."""
    assert contrast(*colours(styles[style])) >= 4.5


def test_text_on_a_filled_ground_is_dark() -> None:
    for colour in LIGHTS:
        for level in LEVELS:
            text, ground = colours(STYLES[TextStyle(f"{level}_{colour}")])
            assert luminance(linear(text)) < luminance(linear(ground))


def test_large_words_that_say_normal_can_be_seen_and_are_quieter_than_text() -> None:
    assert 3.0 <= contrast(STATUS, GROUND) < contrast(QUIET, GROUND)


@pytest.mark.parametrize("colour", LIGHTS)
def test_a_dimmed_lamp_keeps_its_floor_of_light(colour: str) -> None:
    full = luminance(linear(LIGHTS[colour]))
    for brightness in range(1, 256):
        _, ground = colours(STYLES[lit_ground(colour, brightness)])
        assert luminance(linear(ground)) >= full * (DIM_FLOOR - 0.01)
        assert contrast(ground, GROUND) >= 2.95
    assert lit_ground(colour, 255) is TextStyle(f"lit_{colour}")
    assert lit_ground(colour, 1) is TextStyle(f"low_{colour}")


def test_dimming_is_of_light_and_ends_at_black_and_at_itself() -> None:
    assert dimmed("#ff8000", 1.0) == "#ff8000"
    assert dimmed("#ff8000", 0.0) == "#000000"
    # Half of the light of sRGB white is 188 (IEC 61966-2-1).
    assert dimmed("#ffffff", 0.5) == "#bcbcbc"


def test_every_lit_colour_has_a_sign_and_a_word_of_its_own() -> None:
    texts = {state_text(LampLook("x", "X", colour), 255) for colour in COLOURS}
    assert len({text.split()[0] for text in texts}) == len(COLOURS)
    assert {text.split()[1] for text in texts} == set(COLOURS)
    assert state_text(LampLook("x", "X", "red"), 102) == "▲ red 40%"
    assert state_text(LampLook("x", "X", "red"), 1) == "▲ red 1%"


NUMBERS = {
    "#000000": 0,
    "#aaaaaa": 7,
    "#555555": 8,
    "#ff5555": 9,
    "#55ff55": 10,
    "#ffff55": 11,
    "#5555ff": 12,
    "#55ffff": 14,
    "#ffffff": 15,
}
"""Numbers of the 16 colours (ECMA-48 SGR 30 to 37 and the bright ones of most terminals)."""


@pytest.mark.parametrize("style", TextStyle)
def test_sixteen_colours_reach_the_terminal_as_they_are(style: TextStyle) -> None:
    """What a 16-colour terminal gets is what the table means: nothing is rounded to another."""
    (segment,) = strip_of((TextSpan("x", style),), SIXTEEN)
    assert segment.style is not None
    for colour in (segment.style.color, segment.style.bgcolor):
        assert colour is not None
        down = colour.downgrade(ColorSystem.STANDARD)
        assert down.number == NUMBERS[colour.get_truecolor().hex]


def test_lit_colours_differ_in_sixteen_colours_too() -> None:
    grounds = [colours(SIXTEEN[TextStyle(f"lit_{colour}")])[1] for colour in LIGHTS]
    assert len(set(grounds)) == len(grounds)


def test_the_table_of_a_terminal() -> None:
    assert styles_for("standard") is styles_for("windows") is SIXTEEN
    assert styles_for("truecolor") is styles_for("256") is styles_for(None) is STYLES
