"""Happenings as lines of text, for a run without a screen."""

from __future__ import annotations

from panelbridge.signals import Happening, Level

_MARKS = {Level.INFO: " ", Level.CAUTION: "!", Level.WARNING: "!!", Level.FAULT: "x"}


def happening_line(happening: Happening) -> str:
    """``   47.02 s  !!  the horn sounds: ...``: time, mark of the level, name, sentence."""
    mark = _MARKS[happening.level]
    text = happening.text.replace("\n", "\n" + " " * 44)
    return f"{happening.time_s:9.2f} s  {mark:<2}  {happening.name:<26} {text}"
