"""One value of a simulator: from what was sent to what the panel reads."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from math import exp, isfinite

from panelbridge.config.links.units import factor_between
from panelbridge.config.links.values import LinkValue
from panelbridge.errors import LogicError
from panelbridge.feeds.formats.format import Raw, Refused
from panelbridge.logic.aircraft_values import AircraftValue
from panelbridge.signals import Value

_SLACK = 0.01
"""A number so far beyond its range, as a part of the range, is taken as the end of it: noise."""


class ValueReader:
    """Reads one value; remembers what smoothing, deadband and threshold need.

    Args:
        keys: how it stands in the feed file.
        spec: the aircraft's value.
    """

    def __init__(self, keys: LinkValue, spec: AircraftValue) -> None:
        self._keys, self._spec = keys, spec
        self._is_number = spec.form == "number"
        self._factor = 1.0
        if keys.unit is not None:
            factor = factor_between(keys.unit, spec.unit)
            if not isinstance(factor, float):  # the check of the file has said so
                raise LogicError(f"{spec.name}: {factor.what}")
            self._factor = factor
        self._slack = _SLACK * (spec.high - spec.low)
        self._words = {} if self._is_number else _lookup(keys, spec)
        self._points = keys.table or ()
        self._sent = [point[0] for point in self._points]
        self.forget()

    def forget(self) -> None:
        """Nothing was read before."""
        self._smooth: float | None = None
        self._smooth_s = 0.0
        self._kept: float | None = None
        self._is_on: bool | None = None

    def read(self, raw: Raw, now_s: float) -> Value:
        """The value. Raises: Refused, when ``raw`` cannot be one."""
        if self._is_number:
            return self._number(raw, now_s)
        keys = self._keys
        if keys.above is None and keys.below is None:
            word = self._words.get(_canonical(raw))
            if word is None:
                raise Refused("not one of its words", f"{raw!r:.60}")
            return word
        on = self._beyond(self._scaled(raw))
        return self._spec.words[on is keys.inverted]

    def _beyond(self, number: float) -> bool:
        """Whether it is beyond the threshold; it stays so within the deadband."""
        keys, on = self._keys, self._is_on
        play = keys.deadband if on else 0.0
        if keys.above is not None:
            on = number > keys.above - play
        else:
            assert keys.below is not None
            on = number < keys.below + play
        self._is_on = on
        return on

    def _scaled(self, raw: Raw) -> float:
        if isinstance(raw, str):
            raise Refused("not a number", f"{raw!r:.60}")
        try:
            number = raw * self._keys.scale + self._keys.offset
        except OverflowError:
            number = float("inf")
        if not isfinite(number):
            raise Refused("not a finite number")
        return number

    def _number(self, raw: Raw, now_s: float) -> float:
        number, spec = self._scaled(raw), self._spec
        number = self._looked_up(number) if self._points else number * self._factor
        if self._keys.inverted:
            number = spec.low + spec.high - number
        if not spec.low - self._slack <= number <= spec.high + self._slack:
            wanted = f"{spec.low:g} to {spec.high:g} {spec.unit}".rstrip()
            raise Refused("out of range", f"{number:.6g}, and it is {wanted}")
        number = min(max(number, spec.low), spec.high)
        if self._keys.smooth_s:
            number = self._smoothed(number, now_s)
        if self._keys.deadband:
            if self._kept is None or abs(number - self._kept) > self._keys.deadband:
                self._kept = number
            number = self._kept
        return number

    def _looked_up(self, number: float) -> float:
        points, sent = self._points, self._sent
        slack = _SLACK * (sent[-1] - sent[0])
        if not sent[0] - slack <= number <= sent[-1] + slack:
            raise Refused("outside the table", f"{number:.6g}")
        at = min(max(bisect_right(sent, number), 1), len(sent) - 1)
        (x0, y0), (x1, y1) = points[at - 1], points[at]
        return y0 + (y1 - y0) * (min(max(number, x0), x1) - x0) / (x1 - x0)

    def _smoothed(self, number: float, now_s: float) -> float:
        before = self._smooth
        if before is not None:
            part = 1.0 - exp(-max(now_s - self._smooth_s, 0.0) / self._keys.smooth_s)
            number = before + (number - before) * part
        self._smooth, self._smooth_s = number, now_s
        return number


def _canonical(raw: object) -> float | str:
    """``"1"``, 1, 1.0 and true are the same; so are words in small and capital letters."""
    if isinstance(raw, str):
        text = raw.strip().casefold()
        try:
            return float(text)
        except ValueError:
            return {"true": 1.0, "false": 0.0}.get(text, text)
    return float(raw) if isinstance(raw, int | float) else str(raw)


def _lookup(keys: LinkValue, spec: AircraftValue) -> Mapping[float | str, str]:
    """The word for everything that can be sent."""
    if keys.words is not None:
        pairs = keys.words.items()
        return {_canonical(raw): word for word, raws in pairs for raw in raws}
    first, second = spec.words
    if keys.inverted:
        first, second = second, first
    found: dict[float | str, str] = {word: word for word in spec.words}
    return found | {1.0: first, 0.0: second}
