"""What the wheel lock publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class WheelLockFacts(Facts, frozen=True):
    """The lock.

    Attributes:
        locked: the wheel is locked straight.
        is_pushed: the button was pushed since the start: from then on it is known to command.
    """

    locked: bool = False
    is_pushed: bool = False
