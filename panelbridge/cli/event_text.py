"""Events as lines of text, for a run without a screen."""

from __future__ import annotations

from panelbridge.signals import Event, Level

_MARKS = {Level.INFO: " ", Level.CAUTION: "!", Level.WARNING: "!!", Level.FAULT: "x"}


def event_text(event: Event) -> str:
    """``   47.02 s  !!  the horn sounds: ...``: time, mark of the level, name, sentence."""
    mark = _MARKS[event.level]
    text = event.text.replace("\n", "\n" + " " * 44)
    return f"{event.time_s:9.2f} s  {mark:<2}  {event.name:<26} {text}"
