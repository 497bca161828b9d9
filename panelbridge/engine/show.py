"""A run as a show: how its time passes, and what is broken in it on purpose."""

from __future__ import annotations

from typing import Protocol

from panelbridge.engine.pace import Pace
from panelbridge.engine.show_state import ShowState
from panelbridge.feeds.breakable_feed import BreakableFeed
from panelbridge.signals import Outputs


class BrokenParts(Protocol):
    """What is broken on purpose."""

    @property
    def broken(self) -> tuple[str, ...]:
        """What is broken now, in words."""

    def seen(self, outputs: Outputs) -> Outputs:
        """What is seen and heard of outputs: a dead lamp is dark."""


class Show:
    """What makes a run a show.

    Args:
        feed: the run's, whose values can be broken.
        pace: of its time; None = its time cannot be held, for its data is real.

    Attributes:
        parts: what is broken; None until something can be.
    """

    def __init__(self, feed: BreakableFeed, pace: Pace | None) -> None:
        self.feed = feed
        self.pace = pace
        self.parts: BrokenParts | None = None

    @property
    def hurries(self) -> bool:
        """It flies to a phase, as fast as the machine can."""
        return self.pace is not None and bool(self.pace.jumping_to)

    def seen(self, outputs: Outputs) -> Outputs:
        """What is seen and heard of outputs."""
        return outputs if self.parts is None else self.parts.seen(outputs)

    def state(self, now_s: float) -> ShowState:
        """For a snapshot."""
        broken = () if self.parts is None else self.parts.broken
        pace = self.pace
        if pace is None:
            return ShowState(broken=broken)
        return ShowState(
            pace.is_paused, pace.rate, pace.jumping_to, pace.phase_index(now_s), broken
        )
