"""What the lock switches of all legs say together, by the authority for them: model or feed."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from panelbridge.logic.gear.events import EventLog
from panelbridge.logic.gear.facts import LegFacts
from panelbridge.logic.gear.travel import AT_0, AT_1
from panelbridge.signals import GearPosition, LegLocks, LegState


class GearLocks(Struct, frozen=True):
    """The lock switches of all legs.

    Attributes:
        locks: of each leg; unknown until they were taken.
        in_transit: of each leg: sensed to be locked at neither end, apart from its lock switches.
    """

    locks: tuple[LegLocks, ...]
    in_transit: tuple[bool, ...]

    @classmethod
    def unknown(cls, count: int) -> GearLocks:
        """Of so many legs, before they were taken."""
        return cls((LegLocks(),) * count, (False,) * count)

    @property
    def all_down(self) -> bool:
        """Every leg is known to be locked down."""
        return not any(self.in_transit) and all(leg.is_down for leg in self.locks)

    @property
    def all_up(self) -> bool:
        """Every leg is known to be locked up."""
        return not any(self.in_transit) and all(leg.is_up for leg in self.locks)

    def faults(self, names: Sequence[str]) -> tuple[str, ...]:
        """Legs whose switches contradict each other, a sentence each."""
        every = zip(names, self.locks, self.in_transit, strict=True)
        return tuple([fault for one in every if (fault := _fault(*one))])

    def take(
        self,
        now_s: float,
        names: Sequence[str],
        locks: tuple[LegLocks, ...],
        in_transit: tuple[bool, ...],
        log: EventLog,
    ) -> GearLocks:
        """Take the lock switches of every leg.

        A leg that was unknown is *found*, not moved: no event reports it.

        Args:
            now_s: seconds.
            names: of the legs.
            locks: of each leg.
            in_transit: of each leg: something but the lock switches senses it in transit.
            log: takes the events.
        """
        taken = GearLocks(locks, in_transit)
        if taken == self:
            return self
        for name, old, new in zip(names, self.locks, locks, strict=True):
            _report_leg(now_s, name, old, new, log)
        faults = self.faults(names)
        for name, new, moves in zip(names, locks, in_transit, strict=True):
            fault = _fault(name, new, moves)
            if not fault or fault in faults:
                continue
            if new.contradictory:
                log.note(now_s, "leg_locks_contradicted", name)
            else:
                log.note(now_s, "leg_switch_contradicted", name)
        if all(_is_known(leg) for leg in self.locks):
            if taken.all_down and not self.all_down:
                log.note(now_s, "gear_locked_down")
            if taken.all_up and not self.all_up:
                log.note(now_s, "gear_locked_up")
        return taken


def _report_leg(now_s: float, name: str, old: LegLocks, new: LegLocks, log: EventLog) -> None:
    if not (_is_known(old) and _is_known(new)):
        return
    if new.is_down and not old.is_down:
        log.note(now_s, "leg_locked_down", name)
    elif new.is_up and not old.is_up:
        log.note(now_s, "leg_locked_up", name)
    elif (old.is_down or old.is_up) and not (new.up_locked or new.down_locked):
        log.note(now_s, "leg_unlocked", name)


def _fault(name: str, locks: LegLocks, in_transit: bool) -> str:
    """What cannot be true of a leg's switches, in words; empty when nothing is wrong."""
    leg = f"the {name.replace('_', ' ')} leg"
    if locks.contradictory:
        return f"both lock switches of {leg} are made"
    if in_transit and (locks.down_locked or locks.up_locked):
        return f"a lock switch of {leg} is made though the leg is not locked"
    return ""


def _is_known(locks: LegLocks) -> bool:
    return locks.up_locked is not None and locks.down_locked is not None


def fed_leg(locks: LegLocks, demand: GearPosition) -> LegFacts:
    """A leg of which only the locks are known.

    Args:
        locks: its lock switches.
        demand: where it is asked to go.
    """
    if locks.is_down:
        return LegFacts(LegState.DOWN_LOCKED, AT_1, locks)
    if locks.is_up:
        return LegFacts(LegState.UP_LOCKED, AT_0, locks)
    if not _is_known(locks) or locks.contradictory:
        return LegFacts(LegState.UNKNOWN, None, locks)
    down = demand is GearPosition.DOWN
    return LegFacts(LegState.EXTENDING if down else LegState.RETRACTING, None, locks)
