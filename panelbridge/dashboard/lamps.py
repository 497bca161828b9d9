"""How a lamp is drawn: a filled sign and a capital word when lit, a hollow sign when dark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from panelbridge.dashboard.pieces import Look, Piece, fit
from panelbridge.dashboard.ports import LampLook, LookColour
from panelbridge.dashboard.words import MISSING, OFF, ON, UNKNOWN
from panelbridge.signals import Outputs

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
        return _quiet_cell((f"{UNKNOWN} unknown", UNKNOWN), width)
    if not brightness:
        return Piece(fit(f"{OFF} dark", width), Look.DARK)
    words = f"{ON} LIT {brightness_text(brightness)}" if width >= len("● LIT 100%") else f"{ON} LIT"
    return Piece(fit(words, width), _LIT[look.colour])


def _quiet_cell(words: Sequence[str], width: int) -> Piece:
    """The first of ``words`` that fits; the last one whatever the width."""
    text = next((text for text in words if len(text) <= width), words[-1])
    return Piece(fit(text, width), Look.QUIET)


def name_width(names: Iterable[str], width: int) -> int:
    """Cells for the names of lamps, of ``width`` cells for a name with its lamp."""
    longest = max(map(len, names), default=0)
    return max(min(longest + 2, width - len("○ dark")), 0)


@dataclass(frozen=True, slots=True)
class LampPlan:
    """Which lamp stands where.

    Attributes:
        leg_columns: ends of the names of the legs' lamps, e.g. ``green``, ``red``.
        looks: look of every lamp, by name.
        others: lamps that stand in no leg's row, in order.
        live_boards: names of the boards whose link is live.
        alike: names of the lamps that have the same words as another one.
    """

    leg_columns: tuple[str, ...]
    looks: Mapping[str, LampLook]
    others: tuple[LampLook, ...]
    live_boards: frozenset[str] = frozenset()
    alike: frozenset[str] = frozenset()

    def label(self, look: LampLook) -> str:
        """Words for a lamp, with its colour where another has the same words."""
        return f"{label_of(look)} {look.colour}" if look.name in self.alike else label_of(look)

    def is_known(self, look: LampLook, outputs: Outputs) -> bool:
        """Whether what the outputs say is what the lamp shows."""
        told = look.name in outputs.lamps
        return told and (not look.board or look.board in self.live_boards)

    def shines(self, look: LampLook, outputs: Outputs) -> bool:
        """Whether the lamp is known to be lit."""
        return self.is_known(look, outputs) and outputs.lamps[look.name] > 0

    def cell(self, name: str, outputs: Outputs, width: int) -> Piece:
        """The lamp ``name`` as it can be known here, ``width`` cells.

        What the outputs say is what a lamp shows only where the panel has that lamp and its board
        is told: else ``– none`` or ``? no link``.
        """
        look = self.looks.get(name)
        if look is None:
            return _quiet_cell((f"{MISSING} not fitted", f"{MISSING} none", MISSING), width)
        brightness = outputs.lamps.get(name)
        if brightness is not None and look.board and look.board not in self.live_boards:
            return _quiet_cell((f"{UNKNOWN} no link", UNKNOWN), width)
        return lamp_cell(look, brightness, width)

    def named_cell(
        self, look: LampLook, outputs: Outputs, name_cells: int, width: int
    ) -> list[Piece]:
        """A lamp with its own name beside it, ``width`` cells together."""
        state = self.cell(look.name, outputs, width - name_cells)
        return [Piece(fit(self.label(look), name_cells)), state]


def plan_lamps(
    looks: Sequence[LampLook],
    names: Iterable[str],
    legs: Sequence[str],
    live_boards: Iterable[str] = (),
) -> LampPlan:
    """Sort the lamps: ``<leg>_<end>`` into the legs' rows, the rest beside.

    Args:
        looks: of the panel's lamps, in the order to show: others are not fitted. Without any, every
            lamp of the outputs is taken for fitted.
        names: of all lamps that the outputs have.
        legs: names of the legs.
        live_boards: names of the boards whose link is live.
    """
    names = tuple(names)
    known = {look.name: look for look in looks or [look_of(name) for name in names]}
    ends: list[str] = []
    for leg in legs:
        # Also the outputs' names: a column stands for lamps that are not fitted, and says so.
        for name in (*known, *names):
            end = name.removeprefix(f"{leg}_")
            if end != name and end not in ends:
                ends.append(end)
    columns = tuple(ends[:LEG_COLUMNS])
    in_rows = {f"{leg}_{end}" for leg in legs for end in columns}
    others = tuple(look for name, look in known.items() if name not in in_rows)
    words = Counter(label_of(look) for look in known.values())
    alike = frozenset(name for name, look in known.items() if words[label_of(look)] > 1)
    return LampPlan(columns, known, others, frozenset(live_boards), alike)
