"""The words and signs for every state, in one place.

Each state has a sign *and* a word, so that the screen reads the same without any colour. Signs are
taken from those that the fonts of every system's console have.
"""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.dashboard.pieces import Look, Piece, fit
from panelbridge.link.session import LinkState
from panelbridge.signals import HandleContacts, HornPattern, LegState, Level

ON = "●"
OFF = "○"
UP = "▲"
DOWN = "▼"
UNKNOWN = "?"
MISSING = "–"
ALERT = "▲"

# sign, words, short words, shortest words
LEG_WORDS: Mapping[LegState, tuple[str, str, str, str, Look]] = {
    LegState.UP_LOCKED: (ON, "locked up", "locked up", "up", Look.TEXT),
    LegState.UNLOCKING_TO_EXTEND: (DOWN, "leaving up-lock", "unlocking", "moving", Look.CAUTION),
    LegState.EXTENDING: (DOWN, "going down", "going down", "moving", Look.CAUTION),
    LegState.DOWN_LOCKED: (ON, "locked down", "locked down", "down", Look.GOOD),
    LegState.UNLOCKING_TO_RETRACT: (UP, "leaving down-lock", "unlocking", "moving", Look.CAUTION),
    LegState.RETRACTING: (UP, "going up", "going up", "moving", Look.CAUTION),
    LegState.STOPPED: (OFF, "stopped between", "stopped", "stopped", Look.CAUTION),
    LegState.UNKNOWN: (UNKNOWN, "unknown", "unknown", "unknown", Look.CAUTION),
}

CONTRADICTORY: tuple[str, list[str], Look] = (
    "!",
    ["BOTH LOCKS MADE", "BOTH LOCKS", "BOTH"],
    Look.ALARM,
)
"""For a leg of which both lock switches are made."""

HANDLE_WORDS: Mapping[HandleContacts, tuple[str, str, Look]] = {
    HandleContacts.UP: (UP, "up", Look.STRONG),
    HandleContacts.DOWN: (DOWN, "down", Look.STRONG),
    HandleContacts.BETWEEN: (OFF, "between", Look.CAUTION),
    HandleContacts.BOTH: ("!", "BOTH", Look.ALARM),
    HandleContacts.UNKNOWN: (UNKNOWN, "unknown", Look.QUIET),
}

HORN_WORDS: Mapping[HornPattern, tuple[str, str, Look]] = {
    HornPattern.SILENT: (OFF, "silent", Look.QUIET),
    HornPattern.INTERMITTENT: (ON, "SOUNDS, on and off", Look.ALARM),
    HornPattern.CONTINUOUS: (ON, "SOUNDS, steadily", Look.ALARM),
}

LEVEL_WORDS: Mapping[Level, tuple[str, str, Look]] = {
    Level.INFO: ("·", "info", Look.QUIET),
    Level.CAUTION: ("!", "caution", Look.CAUTION),
    Level.WARNING: ("▲", "WARNING", Look.ALARM),
    Level.FAULT: ("X", "FAULT", Look.ALARM),
}

LINK_WORDS: Mapping[LinkState, tuple[str, str, Look]] = {
    LinkState.IDLE: (OFF, "stopped", Look.QUIET),
    LinkState.OPENING: (OFF, "opening", Look.CAUTION),
    LinkState.GREETING: (OFF, "greeting", Look.CAUTION),
    LinkState.SETTING_UP: (OFF, "setting up", Look.CAUTION),
    LinkState.LIVE: (ON, "live", Look.GOOD),
    LinkState.WAITING: ("!", "WAITING", Look.ALARM),
    LinkState.REFUSED: ("X", "REFUSED", Look.ALARM),
}


def yes_no(value: bool | None, yes: str, no: str, width: int) -> Piece:
    """A contact: filled sign and ``yes``, hollow sign and ``no``, or unknown."""
    if value is None:
        return Piece(fit(f"{UNKNOWN} unknown", width), Look.QUIET)
    if value:
        return Piece(fit(f"{ON} {yes}", width), Look.STRONG)
    return Piece(fit(f"{OFF} {no}", width), Look.QUIET)


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
