"""What can be asked: the horn with its causes, lit lamps, faults, legs, values, dark lamps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import TextStyle, words_of_name
from panelbridge.dashboard.text.state_words import (
    HORN_WORDS,
    LAMP_SIGNS,
    LEVEL_WORDS,
    OFF,
    leg_words,
)
from panelbridge.signals import HornPattern, Level, Value

HORN = "horn"
CAUSE, FAULT = "horn: ", "fault: "
_GEAR = (
    ("gear", "all legs together"),
    ("gear_agrees", "gear agrees with the handle"),
    ("simulator_agrees", "panel and simulator agree"),
    ("on_ground", "on the ground"),
    ("horn_silenced", "horn silenced"),
    ("steering", "nose-wheel steering"),
)
"""Values that no section of the systems page has."""
_URGENCY = ("red", "amber", "white", "blue", "green")


class Subject(Struct, frozen=True):
    """Something that can be asked for.

    Attributes:
        name: as the run knows it.
        label: words for people.
        state: what it is now.
        sign: of that.
        style: of that.
        about: the system that it belongs to, by which it is found too.
    """

    name: str
    label: str
    state: str
    sign: str = " "
    style: TextStyle = TextStyle.QUIET
    about: str = ""


def subjects_of(content: ScreenContent) -> list[Subject]:
    """Everything that can be asked for, in the order to show."""
    logic, lamps = content.snapshot.logic, content.lamp_layout()
    looks = [look for look in content.lamp_looks if look.name in content.snapshot.outputs.lamps]
    lit = [look for look in looks if content.snapshot.outputs.lamps[look.name]]
    lit.sort(key=lambda look: _URGENCY.index(look.colour))
    alarm = LEVEL_WORDS[Level.FAULT]
    return [
        *_horn(content),
        *[_lamp(look, lamps, lit=True) for look in lit],
        *[Subject(FAULT + one, one, "fault", alarm[0], alarm[2]) for one in logic.faults],
        *_legs(content),
        *_values(content),
        *[_lamp(look, lamps, lit=False) for look in looks if look not in lit],
    ]


def _horn(content: ScreenContent) -> Iterator[Subject]:
    snapshot = content.snapshot
    pattern = snapshot.outputs.horn
    sign, words, style = HORN_WORDS[pattern]
    label = "Horn" if content.horn_board is not None else "Horn, not fitted"
    yield Subject(HORN, label, words, sign, style)
    causes = snapshot.logic.horn_causes or snapshot.logic.warning_causes
    state = "sounds"
    if pattern is HornPattern.SILENT:
        state = "silenced" if snapshot.logic.horn_silenced else "quiet"
    for cause in causes:
        yield Subject(CAUSE + cause, f"Horn: {cause}", state, sign, style)


def _lamp(look: LampLook, lamps: LampLayout, *, lit: bool) -> Subject:
    label = lamps.label(look)
    if not lit:
        return Subject(look.name, label, "dark", OFF, TextStyle.DARK)
    styles = {"red": TextStyle.ALARM, "amber": TextStyle.CAUTION, "green": TextStyle.GOOD}
    style = styles.get(look.colour, TextStyle.STRONG)
    return Subject(look.name, label, f"lit {look.colour}", LAMP_SIGNS[look.colour], style)


def _legs(content: ScreenContent) -> Iterator[Subject]:
    for leg in content.snapshot.logic.legs:
        sign, words, _, _, style = leg_words(leg)
        yield Subject(f"{leg.name}_leg", f"{words_of_name(leg.name)} leg", words, sign, style)


def _values(content: ScreenContent) -> Iterator[Subject]:
    values = content.snapshot.logic.values
    for name, label in _GEAR:
        if name in values:
            yield Subject(name, label, value_text(values[name]))
    for title, looks in content.equipment.systems.items():
        for look in looks:
            if look.name in values:
                value = values[look.name]
                unknown = look.nothing or "unknown"
                text = unknown if value is None else f"{value_text(value)} {look.unit}".rstrip()
                yield Subject(look.name, look.label, text, about=title)


def value_text(value: Value) -> str:
    """A value in words."""
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.4g}" if isinstance(value, (int, float)) else words_of_name(value)


def narrowed(subjects: Sequence[Subject], typed: str) -> list[Subject]:
    """Those that have every word of ``typed`` in their words."""
    words = typed.lower().split()
    return [
        one
        for one in subjects
        if all(
            word in f"{one.label} {one.state} {one.about} {words_of_name(one.name)}".lower()
            for word in words
        )
    ]
