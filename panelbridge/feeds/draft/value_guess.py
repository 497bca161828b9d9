"""Guesses which value of the aircraft a field may be, by its name and its numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from panelbridge.config.links.units import factor_between
from panelbridge.config.value_names import ValueNames
from panelbridge.feeds.draft.guess import FieldSeries
from panelbridge.feeds.formats.values import path_of

_WORDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("airspeed_kias", ("ias", "vc", "cas", "kias", "airspeed", "indicated")),
    ("ground_speed_kt", ("gs", "vg", "groundspeed")),
    ("altitude_ft", ("alt", "altitude", "height", "elevation")),
    ("flap_deg", ("flap", "flaps")),
    ("hydraulic_pressure_psi", ("hyd", "hydraulic", "hydraulics")),
    ("mass_kg", ("mass",)),
    ("simulator_handle", ("gear", "handle", "lever")),
)
"""Abbreviations and words of the trade for each value."""
_NUMBERED: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("throttle_{}", ("throttle", "thrust", "tla", "power")),
)
_STRUTS = ("wow", "squat", "compressed", "weight", "ground")
_LEGS = {"nose": "nose", "n": "nose", "left": "left", "l": "left", "right": "right", "r": "right"}
_UNITS = {
    "kt": "kt", "kts": "kt", "knots": "kt", "kias": "kt", "fps": "ft/s", "mps": "m/s",
    "kmh": "km/h", "ft": "ft", "feet": "ft", "m": "m", "deg": "degrees", "rad": "rad",
    "psi": "psi", "bar": "bar", "percent": "percent", "pct": "percent",
}  # fmt: skip


class ValueGuess(Struct, frozen=True):
    """A value that a field may be.

    Attributes:
        name: of the value.
        unit: in which it seems to come; empty when nothing says.
        extra: further keys, as YAML.
        doubt: why it may be another value, or another unit; empty when nothing speaks against it.
    """

    name: str
    unit: str = ""
    extra: str = ""
    doubt: str = ""


def guess_value(series: FieldSeries) -> ValueGuess | None:
    """The value that a field's name stands for; None when it stands for none."""
    parts = _parts(series)
    leg = next((_LEGS[part] for part in parts if part in _LEGS), None)
    if leg and any(part in _STRUTS for part in parts) and not {"speed"} & set(parts):
        return _strut(series, f"strut_{leg}")
    for name, words in (*_WORDS, *_numbered(series, parts)):
        if any(part in words for part in parts):
            return _with_unit(series, name, parts)
    return None


def _parts(series: FieldSeries) -> list[str]:
    """The words of its name: ``airSpeed_kts`` is air, speed, kts."""
    text = " ".join(str(step) for step in path_of(series.at))
    text = re.sub(r"([a-z])([A-Z])", r"\1 \2", text)
    text = re.sub(r"([A-Za-z]{2,})(\d)", r"\1 \2", text)
    parts = [part for part in re.split(r"[^a-z0-9]+", text.casefold()) if part]
    return parts + [first + second for first, second in pairwise(parts)]


def _numbered(series: FieldSeries, parts: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
    """Values of engines; places in JSON count from 0."""
    number = next((int(part) for part in parts if part in ("1", "2", "3", "4")), 1)
    places = [step for step in path_of(series.at) if isinstance(step, int)]
    number = places[0] + 1 if places and not isinstance(series.at, int) else number
    return [(name.format(number), words) for name, words in _NUMBERED]


def _strut(series: FieldSeries, name: str) -> ValueGuess | None:
    if set(series.numbers) <= {0.0, 1.0} and series.numbers:
        return ValueGuess(name, "", "above: 0.5")
    return None


def _with_unit(series: FieldSeries, name: str, parts: Sequence[str]) -> ValueGuess | None:
    if name == "simulator_handle":
        sent = {word.casefold(): word for word in series.words if word.isalpha()}
        if {"up", "down"} <= sent.keys():
            return ValueGuess(name, "", f"words: {{ up: {sent['up']}, down: {sent['down']} }}")
        if set(series.numbers) <= {0.0, 1.0} and series.numbers:
            return ValueGuess(name, "", "words: { up: 0, down: 1 }")
        return None
    if not series.numbers:
        return None
    unit = next((_UNITS[part] for part in reversed(parts) if part in _UNITS), "")
    if name.startswith("throttle"):
        unit = "percent" if max(series.numbers) > 2.0 else ""
    spec = ValueNames(None).find(name)
    assert spec is not None
    factor = factor_between(unit, spec.unit) if unit else 1.0
    if not isinstance(factor, float):
        unit, factor = "", 1.0
    low, high = factor * min(series.numbers), factor * max(series.numbers)
    slack = 0.01 * (spec.high - spec.low)
    doubt = ""
    if low < spec.low - slack or high > spec.high + slack:
        span = f"{spec.low:g} to {spec.high:g} {spec.unit}".rstrip()
        doubt = f"it is beyond {span}: another value, or another unit"
    return ValueGuess(name, unit, "", doubt)
