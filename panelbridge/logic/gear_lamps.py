"""Gear lamps: what the lock switches mean, as pure functions.

Sources: 14 CFR 25.729(e)(1) (no erroneous indication of locked), 25.729(e)(7) (alert whenever the
gear disagrees with its lever), 25.1555(d) (locked up, not locked and locked down are told apart at
any time). Dark is locked up, red is not locked, green is locked down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelbridge.logic.rule import Rule
from panelbridge.signals import GearPosition, LegLocks

LEG_LOCKED_DOWN = Rule("leg locked down", (("is_down", True),), "lights the green")
LEG_NOT_LOCKED = Rule("leg not locked", (("is_down", False), ("is_up", False)), "lights the red")


@dataclass(frozen=True, slots=True)
class Agreement:
    """The handle and the gear.

    Attributes:
        handle: where the handle stands now; None between its ends or unknown.
        all_down: every leg is known to be locked down.
        all_up: every leg is known to be locked up.
    """

    handle: GearPosition | None
    all_down: bool
    all_up: bool

    @property
    def agrees(self) -> bool:
        """The gear is locked where the handle stands; nothing agrees with no position."""
        if self.handle is GearPosition.DOWN:
            return self.all_down
        return self.handle is GearPosition.UP and self.all_up


GEAR_DISAGREES = Rule(
    "gear not locked where the handle stands",
    (("agrees", False),),
    "lights the handle, 14 CFR 25.729(e)(7)",
)


def green_lit(locks: LegLocks) -> bool:
    """Green: the leg is known to be locked down, and nothing says otherwise."""
    return LEG_LOCKED_DOWN.holds(locks)


def red_lit(locks: LegLocks) -> bool:
    """Red: the leg is not known to be locked at either end (also unknown, or contradictory)."""
    return LEG_NOT_LOCKED.holds(locks)


def gear_disagrees(handle: GearPosition | None, locks: Sequence[LegLocks]) -> bool:
    """Whether the gear is anywhere else than the handle says.

    Args:
        handle: where the handle stands now; None between its ends or unknown.
        locks: of every leg.
    """
    all_down, all_up = all(leg.is_down for leg in locks), all(leg.is_up for leg in locks)
    return GEAR_DISAGREES.holds(Agreement(handle, all_down, all_up))
