"""Gear lamps: what the lock switches mean, as pure functions.

Sources: 14 CFR 25.729(e)(1) (no erroneous indication of locked), 25.729(e)(7) (alert whenever the
gear disagrees with its lever), 25.1555(d) (locked up, not locked and locked down are told apart at
any time). Dark is locked up, red is not locked, green is locked down.
"""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.signals import GearPosition, LegLocks


def green_lit(locks: LegLocks) -> bool:
    """Green: the leg is known to be locked down, and nothing says otherwise."""
    return locks.is_down


def red_lit(locks: LegLocks) -> bool:
    """Red: the leg is not known to be locked at either end (also unknown, or contradictory)."""
    return not locks.is_down and not locks.is_up


def gear_disagrees(handle: GearPosition | None, locks: Sequence[LegLocks]) -> bool:
    """Whether the gear is anywhere else than the handle says.

    Args:
        handle: where the handle stands now; None between its ends or unknown.
        locks: of every leg.
    """
    if handle is GearPosition.DOWN:
        return not all(leg.is_down for leg in locks)
    if handle is GearPosition.UP:
        return not all(leg.is_up for leg in locks)
    return True
