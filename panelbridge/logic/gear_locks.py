"""What the lock switches of all legs say together, whoever is the authority for them."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.logic.happenings import HappeningLog
from panelbridge.signals import LegLocks


class GearLocks:
    """The lock switches of all legs.

    Args:
        names: of the legs.
        log: takes the happenings.
    """

    def __init__(self, names: Sequence[str], log: HappeningLog) -> None:
        self._names = tuple(names)
        self._log = log
        self._contradictory: frozenset[str] = frozenset()
        self.locks: tuple[LegLocks, ...] = (LegLocks(),) * len(names)
        """Of each leg; unknown until they were taken."""
        self.all_down = False
        """Every leg is known to be locked down."""
        self.all_up = False
        """Every leg is known to be locked up."""

    @property
    def faults(self) -> tuple[str, ...]:
        """Legs whose lock switches contradict each other, a sentence each."""
        return tuple(
            f"both lock switches of the {name} leg are made"
            for name in self._names
            if name in self._contradictory
        )

    def take(self, now_s: float, locks: Sequence[LegLocks], *, quietly: bool = False) -> None:
        """Take the lock switches of every leg; missing ones are unknown.

        Args:
            now_s: seconds.
            locks: in the order of the legs.
            quietly: tell nothing: this is where they are found at the start.
        """
        count = len(self._names)
        taken = (*locks[:count], *(LegLocks(),) * (count - len(locks)))
        if taken == self.locks:
            return
        self.locks = taken
        all_down = all(leg.is_down for leg in taken)
        all_up = all(leg.is_up for leg in taken)
        if all_down and not self.all_down and not quietly:
            self._log.note(now_s, "gear_locked_down")
        if all_up and not self.all_up and not quietly:
            self._log.note(now_s, "gear_locked_up")
        self.all_down, self.all_up = all_down, all_up
        pairs = zip(self._names, taken, strict=True)
        contradictory = frozenset(name for name, leg in pairs if leg.contradictory)
        for name in self._names:
            if name in contradictory and name not in self._contradictory:
                self._log.note(now_s, "leg_locks_contradicted", name)
        self._contradictory = contradictory
