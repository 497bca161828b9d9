"""Where legs, handle and lamps stand on the panel: from ``layout`` of the panel file, or sensibly.

Without a layout the legs stand as seen from above: one leg of the middle in a row, a left and a
right one beside each other; the handle is at the left of the first row with room for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from panelbridge.dashboard.blocks.leg_tiles import HANDLE
from panelbridge.dashboard.interfaces import LampLook

GAP = "gap"
"""In a row of lamps: nothing stands here."""
_LEFT, _RIGHT = "left", "right"


def leg_rows(
    layout: Sequence[Sequence[str]], legs: Sequence[str], *, handle: bool
) -> list[list[str]]:
    """Rows of legs and the handle; legs that the layout does not name come below.

    Args:
        layout: rows of names, lamps among them.
        legs: names of the legs.
        handle: the panel has a gear handle.
    """
    rows = [[name for name in cells if name in legs or name == HANDLE] for cells in layout]
    rows = [cells for cells in rows if cells]
    named = {name for cells in rows for name in cells}
    rows += _default_legs([leg for leg in legs if leg not in named])
    if handle and HANDLE not in named:
        single = next((cells for cells in rows if len(cells) == 1), None)
        if single is None:
            rows.insert(0, [HANDLE])
        else:
            single.insert(0, HANDLE)
    return rows


def lamp_rows(
    layout: Sequence[Sequence[str]], looks: Mapping[str, LampLook]
) -> list[list[LampLook | None]]:
    """Rows of lamps and gaps; a row of the layout without lamps is none."""
    rows: list[list[LampLook | None]] = []
    for cells in layout:
        found = [looks.get(name) for name in cells if name in looks or name == GAP]
        if any(found):
            rows.append(found)
    return rows


def _default_legs(legs: Sequence[str]) -> list[list[str]]:
    rows: list[list[str]] = []
    done: set[str] = set()
    for leg in legs:
        if leg in done:
            continue
        other = _other_side(leg)
        pair = [leg, other] if other != leg and other in legs else [leg]
        pair.sort(key=lambda name: name.split("_")[0] == _RIGHT)
        rows.append(pair)
        done.update(pair)
    return rows


def _other_side(leg: str) -> str:
    words = leg.split("_")
    swap = {_LEFT: _RIGHT, _RIGHT: _LEFT}
    return "_".join(swap.get(word, word) for word in words)
