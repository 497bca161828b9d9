"""What the lock switches of all legs say together, whoever is the authority for them."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_lamps import LegSensed
from panelbridge.signals import GearPosition, LegLocks, LegState, Reason

_MADE = {True: "made", False: "not made", None: "unknown"}


class GearLocks:
    """The lock switches of all legs.

    Args:
        names: of the legs.
        log: takes the events.
    """

    def __init__(self, names: Sequence[str], log: EventLog) -> None:
        self._names = tuple(names)
        self._log = log
        self.locks: tuple[LegLocks, ...] = (LegLocks(),) * len(names)
        """Of each leg; unknown until they were taken."""
        self.in_transit: tuple[bool, ...] = (False,) * len(names)
        """Of each leg: sensed to be locked at neither end, apart from its lock switches."""
        self.sensed = (LegSensed.of(LegLocks()),) * len(names)
        """Of each leg: both together."""
        self.all_down = False
        """Every leg is known to be locked down."""
        self.all_up = False
        """Every leg is known to be locked up."""

    @property
    def faults(self) -> tuple[str, ...]:
        """Legs whose switches contradict each other, a sentence each."""
        every = zip(self._names, self.locks, self.in_transit, strict=True)
        faults = [_fault(name, locks, in_transit) for name, locks, in_transit in every]
        return tuple(fault for fault in faults if fault)

    def told(self, number: int, end: GearPosition) -> Reason:
        """Whether the leg ``number`` is locked at ``end``, and what its lock switches say."""
        locks = self.locks[number]
        holds = locks.is_down if end is GearPosition.DOWN else locks.is_up
        return Reason(
            f"{self._names[number]} leg locked {end}",
            holds,
            f"down-lock {_MADE[locks.down_locked]}, up-lock {_MADE[locks.up_locked]}",
        )

    def told_transit(self, number: int) -> Reason:
        """Whether the leg ``number`` is sensed in transit, apart from its lock switches."""
        return Reason(f"{self._names[number]} leg sensed in transit", self.in_transit[number])

    def take(
        self, now_s: float, locks: Sequence[LegLocks], in_transit: Sequence[bool] = ()
    ) -> None:
        """Take the lock switches of every leg; missing ones are unknown.

        A leg that was unknown is *found*, not moved: nothing is told of it.

        Args:
            now_s: seconds.
            locks: in the order of the legs.
            in_transit: of each leg, where something but the lock switches senses it.
        """
        count = len(self._names)
        taken = (*locks[:count], *(LegLocks(),) * (count - len(locks)))
        transit = tuple(in_transit) or (False,) * count
        before = self.locks
        if taken == before and transit == self.in_transit:
            return
        faults = self.faults
        self.locks, self.in_transit = taken, transit
        pairs = zip(taken, transit, strict=True)
        self.sensed = tuple([LegSensed.of(new, in_transit=moves) for new, moves in pairs])
        for name, old, new in zip(self._names, before, taken, strict=True):
            self._tell_leg(now_s, name, old, new)
        for name, new, moves in zip(self._names, taken, transit, strict=True):
            fault = _fault(name, new, moves)
            if not fault or fault in faults:
                continue
            if new.contradictory:
                self._log.note(now_s, "leg_locks_contradicted", name)
            else:
                self._log.note(now_s, "leg_switch_contradicted", name)
        safe = not any(transit)
        all_down = safe and all(leg.is_down for leg in taken)
        all_up = safe and all(leg.is_up for leg in taken)
        if all(_is_known(leg) for leg in before):
            if all_down and not self.all_down:
                self._log.note(now_s, "gear_locked_down")
            if all_up and not self.all_up:
                self._log.note(now_s, "gear_locked_up")
        self.all_down, self.all_up = all_down, all_up

    def _tell_leg(self, now_s: float, name: str, old: LegLocks, new: LegLocks) -> None:
        if not (_is_known(old) and _is_known(new)):
            return
        if new.is_down and not old.is_down:
            self._log.note(now_s, "leg_locked_down", name)
        elif new.is_up and not old.is_up:
            self._log.note(now_s, "leg_locked_up", name)
        elif (old.is_down or old.is_up) and not (new.up_locked or new.down_locked):
            self._log.note(now_s, "leg_unlocked", name)


def _fault(name: str, locks: LegLocks, in_transit: bool) -> str:
    """What cannot be of a leg's switches, in words; empty when nothing is wrong."""
    if locks.contradictory:
        return f"both lock switches of the {name} leg are made"
    if in_transit and (locks.down_locked or locks.up_locked):
        return f"a lock switch of the {name} leg is made though the leg is not locked"
    return ""


def _is_known(locks: LegLocks) -> bool:
    return locks.up_locked is not None and locks.down_locked is not None


def told_leg(locks: LegLocks, demand: GearPosition) -> tuple[LegState, float | None]:
    """State and travel (0 up to 1 down, None unknown) of a leg of which only the locks are told.

    Args:
        locks: its lock switches.
        demand: where it is asked to go.
    """
    if locks.is_down:
        return LegState.DOWN_LOCKED, 1.0
    if locks.is_up:
        return LegState.UP_LOCKED, 0.0
    if not _is_known(locks) or locks.contradictory:
        return LegState.UNKNOWN, None
    return (LegState.EXTENDING if demand is GearPosition.DOWN else LegState.RETRACTING), None
