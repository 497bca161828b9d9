"""How a lamp is drawn: its colour's sign and a capital word when lit, a hollow sign when dark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache

from msgspec import Struct

from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.lines import TextSpan, TextStyle, asking, fit, words_of_name
from panelbridge.dashboard.text.state_words import LAMP_SIGNS, MISSING, OFF, UNKNOWN
from panelbridge.signals import Outputs

LIT_WIDTH = len("● LIT 100%")
DARK_WIDTH = len("○ dark")
_FULL = 255
_LEG_COLUMNS = 2
"""Number of lamps shown in a leg's row; its others are among the other lamps."""


def label_of(look: LampLook) -> str:
    """The legend of a lamp; its name where it has none."""
    return look.label or words_of_name(look.name)


def lit_style(look: LampLook) -> TextStyle:
    """The style of a lamp that is lit."""
    return TextStyle(f"lit_{look.colour}")


def _first_that_fits(words: Sequence[str], width: int, style: TextStyle) -> TextSpan:
    text = next((text for text in words if len(text) <= width), words[-1])
    return TextSpan(fit(text, width), style)


def lamp_cell(look: LampLook, brightness: int | None, width: int) -> TextSpan:
    """A lamp: ``● LIT 100%``, ``○ dark`` or ``? unknown``, down to the sign alone."""
    if brightness is None:
        return _first_that_fits([f"{UNKNOWN} unknown", UNKNOWN], width, TextStyle.QUIET)
    if not brightness:
        return _first_that_fits([f"{OFF} dark", OFF], width, TextStyle.DARK)
    percent = max(round(brightness * 100 / _FULL), 1)
    sign = LAMP_SIGNS[look.colour]
    words = [f"{sign} LIT {percent}%"] if width >= LIT_WIDTH else []
    words += [f"{sign} LIT"] if width >= DARK_WIDTH else []
    return _first_that_fits([*words, sign], width, lit_style(look))


def name_width(names: Iterable[str], width: int) -> int:
    """Cells for the names of lamps, where ``width`` holds a name and its lamp."""
    longest = max(map(len, names), default=0)
    return max(min(longest + 2, width - DARK_WIDTH), 0)


class LampLayout(Struct, frozen=True):
    """Which lamp is shown where.

    Attributes:
        leg_columns: ends of the names of the legs' lamps, e.g. ``green``, ``red``.
        looks: of every lamp, by name.
        others: lamps that are in no leg's row, in order.
        live_boards: names of the boards whose link is live.
        alike: names of the lamps that share their legend with another one.
    """

    leg_columns: tuple[str, ...]
    looks: Mapping[str, LampLook]
    others: tuple[LampLook, ...]
    live_boards: frozenset[str] = frozenset()
    alike: frozenset[str] = frozenset()

    def label(self, look: LampLook) -> str:
        """The legend of a lamp, with its colour where another has the same legend."""
        return f"{label_of(look)} {look.colour}" if look.name in self.alike else label_of(look)

    def is_known(self, look: LampLook, outputs: Outputs) -> bool:
        """Whether the lamp shows what the outputs say: it has a value and its board is live."""
        return look.name in outputs.lamps and (not look.board or look.board in self.live_boards)

    def is_lit(self, look: LampLook, outputs: Outputs) -> bool:
        """Whether the lamp is known to be lit."""
        return self.is_known(look, outputs) and outputs.lamps[look.name] > 0

    def cell(self, name: str, outputs: Outputs, width: int) -> TextSpan:
        """The lamp ``name``; ``– none`` where the panel has no such lamp, ``? no link``."""
        look = self.looks.get(name)
        if look is None:
            words = [f"{MISSING} not fitted", f"{MISSING} none", MISSING]
            return _first_that_fits(words, width, TextStyle.QUIET)
        if name in outputs.lamps and not self.is_known(look, outputs):
            return _first_that_fits([f"{UNKNOWN} no link", UNKNOWN], width, TextStyle.QUIET)
        return lamp_cell(look, outputs.lamps.get(name), width)

    def named_cell(
        self, look: LampLook, outputs: Outputs, name_cells: int, width: int
    ) -> list[TextSpan]:
        """A lamp with its legend beside it, ``width`` cells together."""
        state = self.cell(look.name, outputs, width - name_cells)
        (line,) = asking([(TextSpan(fit(self.label(look), name_cells)), state)], look.name)
        return list(line)


def lay_out_lamps(
    looks: Sequence[LampLook],
    names: Collection[str],
    legs: Sequence[str],
    live_boards: Iterable[str] = (),
) -> LampLayout:
    """Sort the lamps: ``<leg>_<end>`` into the legs' rows, the others beside.

    Args:
        looks: of the panel's lamps, in the order to show; others are not fitted.
        names: of all lamps of the outputs.
        legs: names of the legs.
        live_boards: names of the boards whose link is live.
    """
    return _laid_out(tuple(looks), tuple(names), tuple(legs), frozenset(live_boards))


@lru_cache(maxsize=4)
def _laid_out(
    looks: tuple[LampLook, ...],
    names: tuple[str, ...],
    legs: tuple[str, ...],
    live_boards: frozenset[str],
) -> LampLayout:
    known = {look.name: look for look in looks}
    ends: list[str] = []
    for leg in legs:
        # The outputs' names too: a column of lamps that are not fitted says so.
        for name in (*known, *names):
            end = name.removeprefix(f"{leg}_")
            if end != name and end not in ends:
                ends.append(end)
    columns = tuple(ends[:_LEG_COLUMNS])
    in_rows = {f"{leg}_{end}" for leg in legs for end in columns}
    others = tuple(look for name, look in known.items() if name not in in_rows)
    count = Counter(map(label_of, known.values()))
    alike = frozenset(name for name, look in known.items() if count[label_of(look)] > 1)
    return LampLayout(columns, known, others, live_boards, alike)
