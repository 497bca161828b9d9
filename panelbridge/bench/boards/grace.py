"""What real time forgives: the grace for the way to a board and back.

A condition that is expected now has ``GRACE_S`` to come true, limits are so much longer, and
intervals are so much shorter at both ends. That an event never comes gets no grace.
"""

from __future__ import annotations

from dataclasses import replace
from typing import assert_never

from panelbridge.bench.language.plan import (
    Expectation,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectThroughout,
    ExpectWithin,
)

GRACE_S = 0.15
"""For the way to the board and back, and for how often is looked (20 times a second), s."""


def with_grace(expectation: Expectation) -> Expectation:
    """The expectation with the time that the way to a board and back may take."""
    match expectation:
        case ExpectNow():
            return ExpectWithin(expectation.condition, GRACE_S, expectation.spot)
        case ExpectWithin() | ExpectOrder():
            return replace(expectation, limit_s=expectation.limit_s + GRACE_S)
        case ExpectThroughout():
            # One that is shorter than the grace is looked at once, after it.
            return replace(expectation, for_s=max(expectation.for_s - GRACE_S, 2 * GRACE_S))
        case ExpectNever():
            if expectation.condition is None:
                return expectation
            return replace(expectation, for_s=max(expectation.for_s - GRACE_S, 2 * GRACE_S))
        case _ as unreachable:
            assert_never(unreachable)


def looks_from_s(expectation: Expectation, now_s: float) -> float:
    """When the first sample counts for an expectation that begins now."""
    is_watched = isinstance(expectation, ExpectThroughout) or (
        isinstance(expectation, ExpectNever) and expectation.condition is not None
    )
    return now_s + GRACE_S if is_watched else now_s
