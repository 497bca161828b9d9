"""Strips of the last minute: horn, lamps, link, data. Each part shows the worst of its span."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

from panelbridge.dashboard.blocks.time_grid import in_slots
from panelbridge.dashboard.history import LinkLook, ShownMoment
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, row
from panelbridge.dashboard.text.state_words import LAMP_SIGNS, UNKNOWN

_LABEL = 6
_Sign = tuple[str, TextStyle]
_NOTHING: _Sign = (" ", TextStyle.EDGE)
_NORMAL: _Sign = ("·", TextStyle.EDGE)
_UNKNOWN: _Sign = (UNKNOWN, TextStyle.CAUTION)
_LOST: _Sign = ("X", TextStyle.CAUTION)
_LINK: dict[LinkLook, _Sign] = {
    LinkLook.LIVE: _NORMAL,
    LinkLook.POOR: ("!", TextStyle.CAUTION),
    LinkLook.STARTING: _UNKNOWN,
    LinkLook.LOST: _LOST,
}
_COLOURS = {"red": TextStyle.ALARM, "amber": TextStyle.CAUTION}


def strip_lines(
    samples: Sequence[ShownMoment], looks: Sequence[LampLook], width: int
) -> list[Line]:
    """Horn beside link, lamps beside data."""
    return _strips(tuple(samples), tuple(looks), width)


@lru_cache(maxsize=4)
def _strips(
    samples: tuple[ShownMoment, ...], looks: tuple[LampLook, ...], width: int
) -> list[Line]:
    """The lines; samples come twice a second, and a page is drawn more often."""
    half = (width - 2) // 2
    colours = {look.name: look.colour for look in looks}

    def lamps(slot: Sequence[ShownMoment]) -> _Sign:
        """The most urgent colour that was lit."""
        if _no_link(slot):
            return _UNKNOWN
        lit = {colours.get(name) for sample in slot for name in sample.lamps}
        for colour, style in _COLOURS.items():
            if colour in lit:
                return LAMP_SIGNS[colour], style
        return _NORMAL

    def strip(label: str, sign: Callable[[Sequence[ShownMoment]], _Sign], cells: int) -> Line:
        slots = in_slots(samples, cells - _LABEL)
        return _strip(label, [sign(slot) if slot else _NOTHING for slot in slots], cells)

    rest = width - half - 2
    gap = TextSpan("  ")
    return [
        (*strip("horn", _horn, half), gap, *strip("link", _link, rest)),
        (*strip("lamps", lamps, half), gap, *strip("data", _data, rest)),
    ]


def _no_link(slot: Sequence[ShownMoment]) -> bool:
    return any(sample.link >= LinkLook.STARTING for sample in slot)


def _horn(slot: Sequence[ShownMoment]) -> _Sign:
    if _no_link(slot):
        return _UNKNOWN
    return ("■", TextStyle.ALARM) if any(sample.horn for sample in slot) else _NORMAL


def _link(slot: Sequence[ShownMoment]) -> _Sign:
    return _LINK[max(sample.link for sample in slot)]


def _data(slot: Sequence[ShownMoment]) -> _Sign:
    return _NORMAL if all(sample.fresh for sample in slot) else _LOST


def _strip(label: str, signs: Sequence[_Sign], width: int) -> Line:
    spans = [TextSpan(fit(label, _LABEL), TextStyle.QUIET)]
    for sign, style in signs:
        if spans[-1].style is style and len(spans) > 1:
            spans[-1] = TextSpan(spans[-1].text + sign, style)
        else:
            spans.append(TextSpan(sign, style))
    return row(spans, width)
