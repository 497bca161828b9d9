"""An expectation that did not hold, with all that a person needs to see why."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from panelbridge.bench.language.expectations import Spot
from panelbridge.signals import Reason


class Cause(Struct, frozen=True):
    """Why a signal is as it is.

    Attributes:
        value: what it is, in words.
        since_s: since when, s; None = since the start, or it is on its way.
        is_moving: it changes by itself.
        before: what it was before, in words; empty since the start.
        changed: the signals behind it that changed at that instant, in words.
        events: what happened at that instant, in words.
        others: the other signals behind it, in words.
        spot: of the step that set it, moved it or broke it; None without one.
    """

    value: str
    since_s: float | None = None
    before: str = ""
    is_moving: bool = False
    changed: tuple[str, ...] = ()
    events: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    spot: Spot | None = None


class Failure(Struct, frozen=True):
    """An expectation that did not hold.

    Attributes:
        spot: of the expectation.
        time_s: when it was clear that it failed.
        expected: in words.
        actual: in words.
        events: the last ones before it, as lines.
        reasons: behind the actual value, for each lamp or the horn in the condition.
        causes: of the other signals in it.
    """

    spot: Spot
    time_s: float
    expected: str
    actual: str
    events: tuple[str, ...] = ()
    reasons: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
