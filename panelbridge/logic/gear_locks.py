"""What the lock switches of all legs say together, whoever is the authority for them."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.logic.happenings import HappeningLog
from panelbridge.signals import GearPosition, LegLocks, LegState, Reason

_MADE = {True: "made", False: "not made", None: "unknown"}


class GearLocks:
    """The lock switches of all legs.

    Args:
        names: of the legs.
        log: takes the happenings.
    """

    def __init__(self, names: Sequence[str], log: HappeningLog) -> None:
        self._names = tuple(names)
        self._log = log
        self.locks: tuple[LegLocks, ...] = (LegLocks(),) * len(names)
        """Of each leg; unknown until they were taken."""
        self.all_down = False
        """Every leg is known to be locked down."""
        self.all_up = False
        """Every leg is known to be locked up."""

    @property
    def faults(self) -> tuple[str, ...]:
        """Legs whose lock switches contradict each other, a sentence each."""
        pairs = zip(self._names, self.locks, strict=True)
        return tuple(
            f"both lock switches of the {name} leg are made"
            for name, locks in pairs
            if locks.contradictory
        )

    def told(self, number: int, end: GearPosition) -> Reason:
        """Whether the leg ``number`` is locked at ``end``, and what its lock switches say."""
        locks = self.locks[number]
        holds = locks.is_down if end is GearPosition.DOWN else locks.is_up
        return Reason(
            f"{self._names[number]} leg locked {end}",
            holds,
            f"down-lock {_MADE[locks.down_locked]}, up-lock {_MADE[locks.up_locked]}",
        )

    def take(self, now_s: float, locks: Sequence[LegLocks]) -> None:
        """Take the lock switches of every leg; missing ones are unknown.

        A leg that was unknown is *found*, not moved: nothing is told of it.

        Args:
            now_s: seconds.
            locks: in the order of the legs.
        """
        count = len(self._names)
        taken = (*locks[:count], *(LegLocks(),) * (count - len(locks)))
        before = self.locks
        if taken == before:
            return
        self.locks = taken
        for name, old, new in zip(self._names, before, taken, strict=True):
            self._tell_leg(now_s, name, old, new)
        all_down = all(leg.is_down for leg in taken)
        all_up = all(leg.is_up for leg in taken)
        if all(_is_known(leg) for leg in before):
            if all_down and not self.all_down:
                self._log.note(now_s, "gear_locked_down")
            if all_up and not self.all_up:
                self._log.note(now_s, "gear_locked_up")
        self.all_down, self.all_up = all_down, all_up

    def _tell_leg(self, now_s: float, name: str, old: LegLocks, new: LegLocks) -> None:
        if new.contradictory and not old.contradictory:
            self._log.note(now_s, "leg_locks_contradicted", name)
        if not (_is_known(old) and _is_known(new)):
            return
        if new.is_down and not old.is_down:
            self._log.note(now_s, "leg_locked_down", name)
        elif new.is_up and not old.is_up:
            self._log.note(now_s, "leg_locked_up", name)
        elif (old.is_down or old.is_up) and not (new.up_locked or new.down_locked):
            self._log.note(now_s, "leg_unlocked", name)


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
