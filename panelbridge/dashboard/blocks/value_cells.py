"""Values in cells: numbers with their units, words, and yes or no."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeVar

from panelbridge.dashboard.interfaces import ValueLook
from panelbridge.dashboard.text.lines import TextSpan, TextStyle, fit, fit_right, words_of_name
from panelbridge.dashboard.text.state_words import MISSING, UNKNOWN, unknown_span, yes_no_span
from panelbridge.signals import Value

T = TypeVar("T")
NUMBER_WIDTH = 6
_UNITS: Mapping[str, tuple[str, int]] = {
    "psi": ("psi", 0),
    "knots": ("kt", 0),
    "degrees": ("deg", 1),
    "ft": ("ft", 0),
    "l": ("l", 2),
    "s": ("s", 0),
    "%": ("%", 0),  # of a fraction
    "rpm": ("rpm", 0),
}
"""How a unit is written, and its decimals."""


def number_text(value: float, unit: str, decimals: int | None = None) -> str:
    """A number with its unit, aligned with the numbers above and below.

    Args:
        value: in ``unit``; a fraction for ``%``.
        unit: empty for a count.
        decimals: None: as is usual for the unit.
    """
    if unit == "%":
        value *= 100.0
    written, usual = _UNITS.get(unit, (unit, 0 if float(value).is_integer() else 1))
    places = usual if decimals is None else decimals
    return f"{fit_right(f'{value:.{places}f}', NUMBER_WIDTH)} {written}".rstrip()


def number_span(
    value: float | None, unit: str, width: int, decimals: int | None = None
) -> TextSpan:
    """A number with its unit; a question mark when it is unknown."""
    if value is None:
        return TextSpan(fit(fit_right(UNKNOWN, NUMBER_WIDTH), width), TextStyle.QUIET)
    return TextSpan(fit(number_text(value, unit, decimals), width))


def value_span(look: ValueLook, values: Mapping[str, Value], width: int) -> TextSpan:
    """The value of ``look`` among ``values``, in its form; a question mark if it is unknown.

    A word that is longer than ``width`` is returned whole.
    """
    value = values.get(look.name)
    if look.nothing and value is None and look.name in values:
        return TextSpan(fit(f"{MISSING} {look.nothing}", width), TextStyle.QUIET)
    if value is None or value == "unknown":
        return number_span(None, "", width) if look.form == "number" else unknown_span(width)
    if isinstance(value, bool):
        return yes_no_span(value, "yes", "no", width)
    if isinstance(value, str):
        text = words_of_name(value)
        return TextSpan(text if len(text) > width else fit(text, width), TextStyle.STRONG)
    return number_span(value, look.unit, width)


def is_unknown(look: ValueLook, values: Mapping[str, Value]) -> bool:
    """Whether a value should be known and is not."""
    value = values.get(look.name)
    if look.nothing and look.name in values:
        return False
    return value is None or value == "unknown"


def item_at(values: Sequence[T], at: int) -> T | None:
    """The value at index ``at``; None when there are not so many."""
    return values[at] if at < len(values) else None


def mark_spans(fraction: float, width: int) -> list[TextSpan]:
    """A line of ``width`` cells with a mark at a fraction of it, 0 to 1; further out at its end."""
    at = round(min(max(fraction, 0.0), 1.0) * (width - 1))
    return [
        TextSpan("─" * at, TextStyle.EDGE),
        TextSpan("█", TextStyle.QUIET),
        TextSpan("─" * (width - 1 - at), TextStyle.EDGE),
    ]
