"""The panel's gauges: label, value, and a needle on its scale."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.blocks.header import live_boards
from panelbridge.dashboard.blocks.value_cells import mark_spans, number_text
from panelbridge.dashboard.interfaces import Equipment, ValueLook
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, fit_right, row
from panelbridge.dashboard.text.state_words import UNKNOWN
from panelbridge.engine.snapshot import Snapshot

_LEAST = 18
"""Least width of a gauge."""
GAUGE_ROWS = 2
_VALUE = 9
"""Cells of a value of four digits with its unit, and of the gap before it."""
_SHORT = (
    {"hydraulic": "hyd", "emergency": "emerg", "accumulator": "accu"},
    {"pressure": "press"},
    {"brake": "brk", "left": "L", "right": "R"},
)
"""The usual abbreviations on gauges, in the order in which they are needed."""


def gauge_cells(snapshot: Snapshot, equipment: Equipment, width: int) -> list[Line]:
    """The gauges that the panel has, beside each other in two lines; none without a gauge."""
    fitted = [look for look in equipment.gauges if look.name in equipment.boards]
    if not fitted:
        return []
    shown = fitted[: max((width + 2) // (_LEAST + 2), 1)]
    cells = (width + 2) // len(shown) - 2
    heads: list[TextSpan] = []
    scales: list[TextSpan] = []
    live = live_boards(snapshot)
    short = _shortening([look.label for look in shown], cells - _VALUE)
    for look in shown:
        board = equipment.boards.get(look.name)
        known = not board or board in live
        value = snapshot.outputs.gauges.get(look.name) if known else None
        gap = TextSpan("  " if heads else "")
        heads += [gap, *_head(_shortened(look.label, short), look.unit, value, cells)]
        scales += [gap, *_scale(look, value, cells)]
    return [row(heads, width), row(scales, width)]


def _shortening(labels: Sequence[str], room: int) -> int:
    """How far the names of all gauges are shortened, so that none is cut."""
    fitting = (
        at
        for at in range(len(_SHORT) + 1)
        if all(len(_shortened(label, at)) <= room for label in labels)
    )
    return next(fitting, len(_SHORT))


def _shortened(label: str, steps: int) -> str:
    words = {word: short for step in _SHORT[:steps] for word, short in step.items()}
    return " ".join([words.get(word, word) for word in label.split(" ")])


def _head(label: str, unit: str, value: float | None, width: int) -> list[TextSpan]:
    text = UNKNOWN if value is None else number_text(value, unit).strip()
    room = width - len(text) - 1
    return [
        TextSpan(fit(label, room), TextStyle.QUIET),
        TextSpan(fit_right(text, width - room), TextStyle.TEXT),
    ]


def _scale(look: ValueLook, value: float | None, width: int) -> list[TextSpan]:
    if value is None or not look.full_scale:
        return [TextSpan("·" * width, TextStyle.EDGE)]
    return mark_spans(value / look.full_scale, width)
