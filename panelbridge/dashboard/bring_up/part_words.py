"""The sign, word and style of each state of a part, and of a pin."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.dashboard.text.lines import TextStyle
from panelbridge.dashboard.text.state_words import OFF, ON, UNKNOWN
from panelbridge.wiring.bring_up.prompts import LivePlace, PartState

PART_WORDS: Mapping[PartState, tuple[str, str, TextStyle]] = {
    PartState.OPEN: ("·", "open", TextStyle.QUIET),
    PartState.PROVEN: ("+", "right", TextStyle.GOOD),
    PartState.CORRECTED: ("#", "corrected", TextStyle.GOOD),
    PartState.FAULT: ("X", "FAULT", TextStyle.ALARM),
    PartState.SKIPPED: ("-", "left out", TextStyle.CAUTION),
}


def state_of(place: LivePlace) -> tuple[str, TextStyle]:
    """A pin's state: its sign or its counts, and the style."""
    if place.counts is not None:
        return f"{place.counts}", TextStyle.TEXT
    if place.closed is None:
        return UNKNOWN, TextStyle.QUIET
    style = TextStyle.STRONG if place.closed else TextStyle.QUIET
    return (ON if place.closed else OFF), TextStyle.HELD if place.moved else style
