"""Values of the aircraft that change by themselves: ramps, and noise over what they are."""

from __future__ import annotations

from hashlib import blake2b
from math import inf

from msgspec import Struct

from panelbridge.bench.verdict.trace import Stepping

VALUE_STEP_S = 0.02
"""A ramp, or noise, gives a new value this often, s: as often as the feed is read in a cockpit."""
_ROUNDING = 1e-6
"""A time this near to a step, in steps, is on it."""


def steps_since(start_s: float, now_s: float) -> int:
    """How many steps of a value have begun."""
    return int((now_s - start_s) / VALUE_STEP_S + _ROUNDING)


def _next_step_s(start_s: float, end_s: float, now_s: float) -> float:
    """When the next step begins; inf when there is none any more."""
    if now_s >= end_s:
        return inf
    return min(start_s + (steps_since(start_s, now_s) + 1) * VALUE_STEP_S, end_s)


class RampLine(Stepping, Struct, frozen=True):
    """A value that moves in steps of time along a straight line.

    Attributes:
        start_s: when it begins.
        end_s: when it arrives.
        begun: from where.
        target: to where.
    """

    start_s: float
    end_s: float
    begun: float
    target: float

    def at(self, now_s: float) -> float:
        """The value at ``now_s``; at the end exactly the target."""
        if now_s >= self.end_s:
            return self.target
        part = steps_since(self.start_s, now_s) * VALUE_STEP_S / (self.end_s - self.start_s)
        return self.begun + part * (self.target - self.begun)

    def next_s(self, now_s: float) -> float:
        """When it has its next value, s; inf when it has arrived."""
        return _next_step_s(self.start_s, self.end_s, now_s)


class Noise(Struct, frozen=True):
    """Noise on one value: evenly spread, and the same in every run.

    Attributes:
        start_s: when it begins.
        end_s: when it ends; inf = never.
        amplitude: how far it goes either way.
        low: the value never falls below this.
        high: the value never rises above this.
        key: what it depends on: seed and name.
    """

    start_s: float
    end_s: float
    amplitude: float
    low: float
    high: float
    key: str

    def over(self, value: float, now_s: float) -> float:
        """The value with its noise; without any before it begins and when it has ended."""
        if not self.start_s <= now_s < self.end_s:
            return value
        step = steps_since(self.start_s, now_s)
        digest = blake2b(f"{self.key} {step}".encode(), digest_size=8).digest()
        deviation = int.from_bytes(digest) / (1 << 63) - 1.0
        return min(max(value + self.amplitude * deviation, self.low), self.high)

    def next_s(self, now_s: float) -> float:
        """When it changes next, s; inf when it has ended."""
        return _next_step_s(self.start_s, self.end_s, now_s)


class NoisyValue(Stepping, Struct, frozen=True):
    """A value with noise on it.

    Attributes:
        value: what it is without: a number, or a line.
        noise: its noise.
    """

    value: float | RampLine
    noise: Noise

    def at(self, now_s: float) -> float:
        """The value at ``now_s``."""
        value = self.value
        return self.noise.over(value.at(now_s) if isinstance(value, RampLine) else value, now_s)

    def next_s(self, now_s: float) -> float:
        """When it changes next, s; inf = never."""
        next_s = self.noise.next_s(now_s)
        value = self.value
        return min(next_s, value.next_s(now_s)) if isinstance(value, RampLine) else next_s
