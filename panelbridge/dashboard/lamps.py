"""How a lamp is drawn: a filled sign and a capital word when lit, a hollow sign when dark."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from panelbridge.dashboard.pieces import Look, Piece, fit
from panelbridge.dashboard.ports import LampLook, LookColour
from panelbridge.dashboard.words import OFF, ON, UNKNOWN

_LIT: Mapping[LookColour, Look] = {
    "red": Look.LIT_RED,
    "amber": Look.LIT_AMBER,
    "green": Look.LIT_GREEN,
    "white": Look.LIT_WHITE,
    "blue": Look.LIT_BLUE,
}
FULL = 255
LEG_COLUMNS = 2
"""So many lamps of a leg stand in the leg's own row; more go to the other lamps."""


def look_of(name: str) -> LampLook:
    """The look of a lamp that nobody described: its colour is the end of its name, else white."""
    end = name.rpartition("_")[2]
    colour: LookColour = "white"
    for known in _LIT:
        if end == known:
            colour = known
    return LampLook(name, "", colour)


def label_of(look: LampLook) -> str:
    """Words for a lamp."""
    return look.label or look.name.replace("_", " ")


def brightness_text(brightness: int) -> str:
    """Brightness in percent; the faintest light is still 1 %."""
    return f"{max(round(brightness * 100 / FULL), 1)}%"


def lamp_cell(look: LampLook, brightness: int | None, width: int) -> Piece:
    """A lamp under a heading that names it: ``● LIT 100%``, ``○ dark``, ``? unknown``.

    In fewer than six cells the sign stands alone.
    """
    if width < len("○ dark"):
        sign = UNKNOWN if brightness is None else ON if brightness else OFF
        return Piece(fit(sign, width), _LIT[look.colour] if brightness else Look.DARK)
    if brightness is None:
        words = f"{UNKNOWN} unknown" if width >= len("? unknown") else UNKNOWN
        return Piece(fit(words, width), Look.QUIET)
    if not brightness:
        return Piece(fit(f"{OFF} dark", width), Look.DARK)
    words = f"{ON} LIT {brightness_text(brightness)}" if width >= len("● LIT 100%") else f"{ON} LIT"
    return Piece(fit(words, width), _LIT[look.colour])


def name_width(looks: Iterable[LampLook], width: int) -> int:
    """Cells for the names of lamps, of ``width`` cells for a name with its lamp."""
    longest = max((len(label_of(look)) for look in looks), default=0)
    return max(min(longest + 2, width - len("○ dark")), 0)


def named_lamp(look: LampLook, brightness: int | None, name_cells: int, width: int) -> list[Piece]:
    """A lamp with its own name beside it, ``width`` cells together."""
    state = lamp_cell(look, brightness, width - name_cells)
    return [Piece(fit(label_of(look), name_cells)), state]


@dataclass(frozen=True, slots=True)
class LampPlan:
    """Which lamp stands where.

    Attributes:
        leg_columns: ends of the names of the legs' lamps, e.g. ``green``, ``red``.
        looks: look of every lamp, by name.
        others: lamps that stand in no leg's row, in order.
    """

    leg_columns: tuple[str, ...]
    looks: Mapping[str, LampLook]
    others: tuple[LampLook, ...]


def plan_lamps(looks: Sequence[LampLook], names: Iterable[str], legs: Sequence[str]) -> LampPlan:
    """Sort the lamps: ``<leg>_<end>`` into the legs' rows, the rest beside.

    Args:
        looks: of the lamps that were described, in the order to show.
        names: of all lamps that the outputs have.
        legs: names of the legs.
    """
    known = {look.name: look for look in looks}
    for name in names:
        known.setdefault(name, look_of(name))
    ends: list[str] = []
    for leg in legs:
        for name in known:
            end = name.removeprefix(f"{leg}_")
            if end != name and end not in ends:
                ends.append(end)
    columns = tuple(ends[:LEG_COLUMNS])
    in_rows = {f"{leg}_{end}" for leg in legs for end in columns}
    others = tuple(look for name, look in known.items() if name not in in_rows)
    return LampPlan(columns, known, others)
