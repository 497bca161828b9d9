"""Numbers against the limits of the aircraft file: which one is passed, in a sign and a word."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.history import ShownMoment
from panelbridge.dashboard.interfaces import Equipment, ValueLimit
from panelbridge.dashboard.text.lines import TextSpan, TextStyle

BEYOND = "!"
"""Sign of a number beyond its limit."""


def passed_limit(name: str, moment: ShownMoment, equipment: Equipment) -> ValueLimit | None:
    """The limit that a number is beyond; None when it is within all of them, or unknown."""
    limits = equipment.limits.get(name, ())
    value = moment.number(name) if limits else None
    if value is None:
        return None
    return next((limit for limit in limits if _is_beyond(value, limit, moment)), None)


def _is_beyond(value: float, limit: ValueLimit, moment: ShownMoment) -> bool:
    level = moment.number(limit.published) if limit.published else limit.value
    if level is None or limit.bound == "mark":
        return False
    return value <= level if limit.bound == "least" else value > level


def limit_words(limits: Sequence[ValueLimit], width: int) -> str:
    """As many limits in words as fit: ``VLE 225 VLO 188``; empty when none does."""
    text = ""
    for limit in limits:
        if limit.value is not None:
            longer = f"{text} {limit.word} {limit.value:g}".strip()
            if len(longer) > width:
                break
            text = longer
    return text


def judged(span: TextSpan, name: str, moment: ShownMoment, equipment: Equipment) -> TextSpan:
    """A number as it is; beyond its limit amber, with a sign and the limit's word."""
    return beyond(span, passed_limit(name, moment, equipment))


def beyond(span: TextSpan, limit: ValueLimit | None) -> TextSpan:
    """A number as it is when it is beyond ``limit``; None: it is within all of them."""
    if limit is None:
        return span
    text = span.text.rstrip()
    signed = f"{BEYOND}{text[1:]}" if text.startswith(" ") else f"{BEYOND}{text}"
    return TextSpan(f"{signed} {limit.word}", TextStyle.CAUTION)
