"""The sign and the words for every state, in one place.

Each state has a sign *and* a word, so that the screen reads the same without any colour. Only signs
that the console fonts of every operating system have are used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from panelbridge.dashboard.text.lines import TextSpan, TextStyle, fit
from panelbridge.link.session import LinkState
from panelbridge.signals import HandleContacts, HornPattern, LegState, LegView, Level

ON = "●"
OFF = "○"
UP = "▲"
DOWN = "▼"
UNKNOWN = "?"
MISSING = "–"
_CAUTION = TextStyle.CAUTION

LegWords = tuple[str, str, str, str, TextStyle]
"""Sign, words, short words, shortest words, style."""
StateWords = tuple[str, str, TextStyle]
"""Sign, words, style."""

LEG_WORDS: Mapping[LegState, LegWords] = {
    LegState.UP_LOCKED: (ON, "locked up", "locked up", "up", TextStyle.TEXT),
    LegState.UNLOCKING_TO_EXTEND: (DOWN, "leaving up-lock", "unlocking", "moving", _CAUTION),
    LegState.EXTENDING: (DOWN, "extending", "extending", "moving", _CAUTION),
    LegState.DOWN_LOCKED: (ON, "locked down", "locked down", "down", TextStyle.GOOD),
    LegState.UNLOCKING_TO_RETRACT: (UP, "leaving down-lock", "unlocking", "moving", _CAUTION),
    LegState.RETRACTING: (UP, "retracting", "retracting", "moving", _CAUTION),
    LegState.STOPPED: (OFF, "stopped midway", "stopped", "stopped", _CAUTION),
    LegState.UNKNOWN: (UNKNOWN, "unknown", "unknown", "unknown", _CAUTION),
}
_BOTH_LOCKS: LegWords = ("!", "BOTH LOCKS MADE", "BOTH LOCKS", "BOTH", TextStyle.ALARM)

HANDLE_WORDS: Mapping[HandleContacts, StateWords] = {
    HandleContacts.UP: (UP, "up", TextStyle.STRONG),
    HandleContacts.DOWN: (DOWN, "down", TextStyle.STRONG),
    HandleContacts.BETWEEN: (OFF, "between", _CAUTION),
    HandleContacts.BOTH: ("!", "BOTH", TextStyle.ALARM),
    HandleContacts.UNKNOWN: (UNKNOWN, "unknown", TextStyle.QUIET),
}

HORN_WORDS: Mapping[HornPattern, StateWords] = {
    HornPattern.SILENT: (OFF, "silent", TextStyle.QUIET),
    HornPattern.INTERMITTENT: (ON, "ON, intermittent", TextStyle.ALARM),
    HornPattern.CONTINUOUS: (ON, "ON, continuous", TextStyle.ALARM),
}

LEVEL_WORDS: Mapping[Level, StateWords] = {
    Level.INFO: ("·", "info", TextStyle.QUIET),
    Level.CAUTION: ("!", "caution", _CAUTION),
    Level.WARNING: (UP, "WARNING", TextStyle.ALARM),
    Level.FAULT: ("X", "FAULT", TextStyle.ALARM),
}

LINK_WORDS: Mapping[LinkState, StateWords] = {
    LinkState.IDLE: (OFF, "stopped", TextStyle.QUIET),
    LinkState.OPENING: (OFF, "opening", _CAUTION),
    LinkState.GREETING: (OFF, "connecting", _CAUTION),
    LinkState.SETTING_UP: (OFF, "setting up", _CAUTION),
    LinkState.LIVE: (ON, "live", TextStyle.GOOD),
    LinkState.WAITING: ("!", "WAITING", TextStyle.ALARM),
    LinkState.REFUSED: ("X", "REFUSED", TextStyle.ALARM),
}

_IN_SHORT: Sequence[tuple[str, tuple[str, ...]]] = (
    ("gear not locked down", ("GEAR NOT DOWN", "GEAR")),
    ("gear handle up", ("HANDLE UP",)),
    ("take-off thrust", ("TAKE-OFF",)),
    ("lamp test", ("LAMP TEST", "TEST")),
    ("warning test", ("WARNING TEST", "TEST")),
    ("parking brake", ("PARK BRAKE",)),
    ("shortest time", ()),
)
"""Words of a cause of the horn, and how a large line says it."""
_LONGEST_CAUSE = 14


def cause_in_short(cause: str) -> tuple[str, ...]:
    """A cause of the horn in large words, the longest first; none when it has none."""
    for part, short in _IN_SHORT:
        if part in cause:
            return short
    return (cause.upper(),) if len(cause) <= _LONGEST_CAUSE else ()


LAMP_SIGNS: Mapping[str, str] = {"red": UP, "amber": "!", "green": ON, "blue": "i", "white": "■"}
"""Sign of each colour of a lit lamp, so that none is known by its colour alone."""


def leg_words(leg: LegView) -> LegWords:
    """The words for a leg; lock switches that contradict each other come first."""
    return _BOTH_LOCKS if leg.locks.contradictory else LEG_WORDS[leg.state]


def unknown_span(width: int) -> TextSpan:
    """For a state that is not known."""
    return TextSpan(fit(f"{UNKNOWN} unknown", width), TextStyle.QUIET)


def yes_no_span(value: bool | None, yes: str, no: str, width: int) -> TextSpan:
    """A filled sign and ``yes``, a hollow sign and ``no``, or unknown."""
    if value is None:
        return unknown_span(width)
    if value:
        return TextSpan(fit(f"{ON} {yes}", width), TextStyle.STRONG)
    return TextSpan(fit(f"{OFF} {no}", width), TextStyle.QUIET)


def lock_sign(made: bool | None) -> str:
    """A lock switch: filled when made, hollow when open, a question mark when unknown."""
    return UNKNOWN if made is None else ON if made else OFF


def time_text(time_s: float, tenths: bool = False) -> str:
    """Time of the run: ``1:07``, ``1:02:07``; within the first hour with tenths: ``1:07.3``."""
    ticks = int(time_s * 10 + 1e-6)
    minutes, rest = divmod(ticks, 600)
    hours, minutes = divmod(minutes, 60)
    head = f"{hours}:{minutes:02d}" if hours else f"{minutes}"
    tail = f".{rest % 10}" if tenths and not hours else ""
    return f"{head}:{rest // 10:02d}{tail}"
