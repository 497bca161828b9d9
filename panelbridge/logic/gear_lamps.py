"""Gear lamps: what the lock switches mean, as pure functions.

Sources: 14 CFR 25.729(e)(1) (no erroneous indication of locked), 25.729(e)(7) (alert whenever the
gear disagrees with its lever), 25.1555(d) (locked up, not locked and locked down are told apart at
any time), US Navy P-307 (the light in the handle burns too while a door is not latched), US Army
TM 55-1510-221-10 (red in transit does not hang on the switch of the green). Dark is locked up, red
is not locked, green is locked down.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.logic.rule import Rule
from panelbridge.signals import GearPosition, LegLocks

LEG_LOCKED_DOWN = Rule(
    "leg locked down", (("is_down", True), ("in_transit", False)), "lights the green"
)
LEG_NOT_LOCKED = Rule("leg not locked", (("is_down", False), ("is_up", False)), "lights the red")
LEG_IN_TRANSIT = Rule(
    "leg sensed in transit",
    (("in_transit", True),),
    "lights the red apart from the lock switches, US Army TM 55-1510-221-10",
)
RED_RULES = (LEG_NOT_LOCKED, LEG_IN_TRANSIT)


@dataclass(frozen=True, slots=True)
class LegSensed:
    """What is sensed of a leg.

    Attributes:
        is_down: its lock switches say locked down, without a doubt.
        is_up: its lock switches say locked up, without a doubt.
        in_transit: apart from the lock switches it is sensed to be locked at neither end.
    """

    is_down: bool
    is_up: bool
    in_transit: bool

    @classmethod
    def of(cls, locks: LegLocks, *, in_transit: bool = False) -> LegSensed:
        """What the lock switches say, and what is sensed apart from them."""
        return cls(locks.is_down, locks.is_up, in_transit)

    @property
    def locked_down(self) -> bool:
        """Known to be locked down, and nothing says otherwise."""
        return self.is_down and not self.in_transit


@dataclass(frozen=True, slots=True)
class Agreement:
    """The handle and the gear.

    Attributes:
        handle: where the handle stands now; None between its ends or unknown.
        all_down: every leg is known to be locked down.
        all_up: every leg is known to be locked up.
        doors_latched: no door stands anywhere else than it should at rest.
    """

    handle: GearPosition | None
    all_down: bool
    all_up: bool
    doors_latched: bool = True

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
DOOR_NOT_LATCHED = Rule(
    "door of the gear not latched", (("doors_latched", False),), "lights the handle, US Navy P-307"
)
HANDLE_RULES = (GEAR_DISAGREES, DOOR_NOT_LATCHED)


def green_lit(sensed: LegSensed) -> bool:
    """Green: the leg is known to be locked down, and nothing says otherwise."""
    return LEG_LOCKED_DOWN.holds(sensed)


def red_lit(sensed: LegSensed) -> bool:
    """Red: the leg is not known to be locked at either end (also unknown, or contradictory)."""
    return any(rule.holds(sensed) for rule in RED_RULES)


def handle_lit(agreement: Agreement) -> bool:
    """The light in the handle, for its own reasons: the gear disagrees, or a door is loose."""
    return any(rule.holds(agreement) for rule in HANDLE_RULES)
