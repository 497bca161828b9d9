"""How well bytes at one place of many messages read as a number of one type."""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from panelbridge.config.links.formats import NumberType, number_bytes
from panelbridge.feeds.formats.numbers import LETTERS

_LEAST, _GREATEST = 1e-5, 1e9
"""What a simulator sends is zero or of a size between these."""
_LARGE = 1e6
"""A whole number that is larger counts something, or is several small ones in a row."""
_EXACT = 2**53
_ABSURD = 1e-20
"""A smaller number is read in the wrong order or at the wrong place."""
_FEW = 4
"""A value that had no more different states than these says little."""
_SMOOTH = 0.25
"""Of a smooth series a change is no greater a part of its range."""


class Fit(NamedTuple):
    """How well a type fits.

    Attributes:
        score: 0 (hardly) to 1 for each byte.
        doubt: why it may be wrong all the same.
    """

    score: float
    doubt: str = ""


def fit_of(type_: NumberType, order: str, data: Sequence[bytes], at: int) -> Fit | None:
    """How well ``type_`` fits at byte ``at`` of each message; None when it cannot be.

    Args:
        type_: the type.
        order: ``<`` or ``>``.
        data: messages of one length.
        at: place in them.
    """
    one = struct.Struct(order + LETTERS[type_])
    values = [one.unpack_from(message, at)[0] for message in data]
    if type_.startswith("float"):
        return _float_fit(values, 6 if type_ == "float32" else 12, type_)
    return _whole_fit(values, number_bytes(type_))


def _float_fit(values: Sequence[float], digits: int, type_: str) -> Fit | None:
    sizes = [abs(value) for value in values if value]
    if not sizes:
        return Fit(0.3, "it was 0 all the time")
    if not all(map(math.isfinite, sizes)) or max(sizes) > _GREATEST or min(sizes) < _ABSURD:
        return None
    if sum(size < _LEAST for size in sizes) > 0.05 * len(sizes):
        return None
    states = set(values)
    if len(states) > _FEW:
        # Two numbers of 4 bytes can look like one of 8, and hardly the other way round.
        good = 1.0 if type_ == "float32" else 0.97
        return Fit(good) if _is_smooth(values) else Fit(0.45, "it jumps from message to message")
    if all(_is_short(value, digits, type_) for value in states):
        return Fit(0.8, "" if len(states) > 1 else "it never changed")
    return Fit(0.4, "it hardly changed")


def _whole_fit(values: Sequence[int], size: int) -> Fit | None:
    states = set(values)
    greatest = max(map(abs, states))
    if not greatest:
        return Fit(0.3, "it was 0 all the time")
    is_counter = len(states) > _FEW and all(a < b for a, b in pairwise(values))
    if (size >= 4 and greatest > _GREATEST and not is_counter) or greatest > _EXACT:
        return None
    doubt = "" if len(states) > 1 else "it never changed"
    if size == 1:
        return _byte_fit(values, states, doubt)
    # Two numbers of 2 bytes can look like one of 4, whose size is then that of the higher one.
    is_large = size >= 4 and greatest > _LARGE
    if len(states) <= _FEW:
        return Fit(0.3 if is_large else 0.5, doubt)
    good = 0.75 if is_counter else 0.65 if size == 2 else 0.4 if is_large else 0.58
    return _by_steps(values, good, 0.25)


def _byte_fit(values: Sequence[int], states: set[int], doubt: str) -> Fit:
    if states <= {0, 1}:
        return Fit(0.62, doubt)
    if len(states) <= 2 * _FEW:
        return Fit(0.5 if len(states) > 1 else 0.35, doubt)
    return _by_steps(values, 0.45, 0.2)


def _by_steps(values: Sequence[int], smooth: float, rough: float) -> Fit:
    if _is_smooth(values):
        return Fit(smooth)
    return Fit(rough, "it jumps from message to message")


def _is_smooth(values: Sequence[float]) -> bool:
    """Nine of ten changes are small."""
    span = max(values) - min(values)
    steps = sorted([abs(b - a) for a, b in pairwise(values) if a != b])
    return steps[len(steps) * 9 // 10] <= _SMOOTH * span


def _is_short(value: float, digits: int, type_: str) -> bool:
    """A person's number: it needs few digits."""
    text = f"{value:.{digits}g}"
    if type_ == "float64":
        return float(text) == value
    return struct.pack("<f", float(text)) == struct.pack("<f", value)
