"""One gear leg of our own model: locks, transit, and how long each takes.

A leg that is driven first unlocks, then travels, then locks; driven the other way in transit it
goes back from where it is, and with nothing that drives it it stops there; at another pace it goes
on from where it is. No leg goes from one lock to the other without travelling. Nothing but being
driven up moves a leg off its down-lock: no pressure is needed to hold it (14 CFR 23.729(b), before
2017); a lock that has not opened yet closes again when the power goes.

Legs can be broken on the bench, to show what lamps and horn do about it. Only the leg itself knows
that it is broken; everything else sees what its lock switches say.
"""

from __future__ import annotations

from enum import StrEnum
from math import inf

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.gear.parameters import LegParameters
from panelbridge.logic.gear.travel import AT_0, AT_1, set_off, stop
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.curves import Line
from panelbridge.signals import GearPosition, LegLocks, LegState


class LegFault(StrEnum):
    """What can be broken at a leg."""

    HUNG = "hung"
    """It unlocks and travels when it is asked to, and never locks."""
    CONTRADICTORY = "contradictory"
    """Both its lock switches are made, wherever it is."""
    DOWN_SWITCH_STUCK = "down_switch_stuck"
    """Its down-lock switch is made, wherever it is."""
    DOWN_SWITCH_OPEN = "down_switch_open"
    """A wire of its down-lock switch is off: never made."""


class LegChart(Chart):
    """One leg."""

    leg_down_locked = State(initial=True)
    leg_unlocking_to_retract = State()
    leg_retracting = State()
    leg_up_locked = State()
    leg_unlocking_to_extend = State()
    leg_extending = State()
    leg_stopped = State()

    retract = (
        leg_retracting.from_(leg_extending, leg_stopped)
        | leg_down_locked.to(leg_unlocking_to_retract)
        | leg_unlocking_to_extend.to(leg_up_locked)
    )
    extend = (
        leg_extending.from_(leg_retracting, leg_stopped)
        | leg_up_locked.to(leg_unlocking_to_extend)
        | leg_unlocking_to_retract.to(leg_down_locked)
    )
    lock_opened = (
        leg_unlocking_to_retract.to(leg_retracting) | leg_unlocking_to_extend.to(leg_extending)
    )  # fmt: skip
    arrived = leg_retracting.to(leg_up_locked) | leg_extending.to(leg_down_locked)
    halt = (
        leg_stopped.from_(leg_retracting, leg_extending)
        | leg_unlocking_to_retract.to(leg_down_locked)
        | leg_unlocking_to_extend.to(leg_up_locked)
    )
    let_go = leg_up_locked.to(leg_stopped)


_STATES = {f"leg_{state.value}": state for state in LegState if state is not LegState.UNKNOWN}
_UP = LegLocks(up_locked=True, down_locked=False)
_DOWN = LegLocks(up_locked=False, down_locked=True)
FREE_LOCKS = LegLocks(up_locked=False, down_locked=False)
# The lock switches stay made until the lock has opened.
_LOCKS = {
    "leg_down_locked": _DOWN,
    "leg_unlocking_to_retract": _DOWN,
    "leg_up_locked": _UP,
    "leg_unlocking_to_extend": _UP,
}
_MOVING = ("leg_extending", "leg_retracting")


class Leg(Struct, frozen=True):
    """One leg.

    Attributes:
        state_id: of the chart.
        travel: 0 (up) to 1 (down).
        falls: it goes down by its own weight, in its own time.
        due_s: when its lock is open, or it arrives, s.
        pace: how fast it is driven, 1 = in its own time.
    """

    state_id: str = "leg_down_locked"
    travel: Line = AT_1
    falls: bool = False
    due_s: float = inf
    pace: float = 1.0

    @classmethod
    def found(cls, position: GearPosition) -> Leg:
        """In one of its locks."""
        return cls("leg_up_locked", AT_0) if position is GearPosition.UP else cls()

    @classmethod
    def put(cls, travel: float) -> Leg:
        """At 0 locked up, at 1 locked down, between them standing still."""
        if travel in (0.0, 1.0):
            return cls.found(GearPosition.DOWN if travel else GearPosition.UP)
        return cls("leg_stopped", Line(start=travel))

    @property
    def state(self) -> LegState:
        """Where it is in its travel."""
        return _STATES[self.state_id]

    @property
    def in_transit(self) -> bool:
        """In truth it is locked at neither end, whatever its lock switches say."""
        return self.state_id not in _LOCKS

    def locks(self, fault: str | None) -> LegLocks:
        """What its lock switches say, with a fault."""
        return broken_locks(_LOCKS.get(self.state_id, FREE_LOCKS), fault)

    def locked_at(self, end: GearPosition) -> bool:
        """In truth it is locked at ``end``, and nothing opens that lock."""
        return self.state_id == f"leg_{end}_locked"

    def drive(
        self,
        now_s: float,
        numbers: LegParameters,
        way: GearPosition | None,
        *,
        fall: bool = False,
        pace: float = 1.0,
    ) -> Leg:
        """Drive it up or down; a leg that is there or on its way does nothing.

        Args:
            now_s: seconds.
            numbers: its numbers.
            way: None when nothing drives it: in transit it stops where it is.
            fall: it goes down by its own weight, in its own time.
            pace: how fast it is driven, above 0 to 1; of no effect on one that falls.
        """
        leg = self
        if fall is not self.falls or pace != self.pace:
            leg = replace(self, falls=fall, pace=pace)
            paced = pace != self.pace and self.state_id == "leg_retracting"
            if paced or self.state_id == "leg_extending":
                leg = leg._entered(now_s, numbers, self.state_id)
        if way is None:
            return leg._send(now_s, numbers, "halt")
        return leg._send(now_s, numbers, "extend" if way is GearPosition.DOWN else "retract")

    def let_go(self, now_s: float, numbers: LegParameters) -> Leg:
        """What held it up has gone: it leaves its up-lock and hangs just below it."""
        return self._send(now_s, numbers, "let_go")

    def free(self, now_s: float, numbers: LegParameters) -> Leg:
        """It is not hung (any more): at the end of its travel it locks at once."""
        if self.due_s == inf and self.state_id in _MOVING:
            return self._send(now_s, numbers, "arrived")
        return self

    def came_due(self, now_s: float, numbers: LegParameters, fault: str | None) -> Leg:
        """Its lock is open, or it has arrived; a hung leg does not lock."""
        if self.state_id not in _MOVING:
            return self._send(now_s, numbers, "lock_opened")
        if fault == LegFault.HUNG:
            end = AT_1 if self.state_id == "leg_extending" else AT_0
            return replace(self, travel=end, due_s=inf)
        return self._send(now_s, numbers, "arrived")

    def _send(self, now_s: float, numbers: LegParameters, trigger: str) -> Leg:
        after = LegChart.after(self.state_id, trigger)
        return self if after == self.state_id else self._entered(now_s, numbers, after)

    def _entered(self, now_s: float, numbers: LegParameters, state_id: str) -> Leg:
        travel, due_s = self.travel, inf
        if state_id == "leg_retracting":
            travel, due_s = set_off(travel, now_s, 0.0, numbers.retract_s / self.pace)
        elif state_id == "leg_extending":
            full_s = numbers.free_fall_s if self.falls else numbers.extend_s / self.pace
            travel, due_s = set_off(travel, now_s, 1.0, full_s)
        elif state_id == "leg_stopped":
            travel = stop(travel, now_s)
        elif state_id.startswith("leg_unlocking"):
            due_s = now_s + numbers.unlock_s
        else:
            travel = AT_0 if state_id == "leg_up_locked" else AT_1
        return replace(self, state_id=state_id, travel=travel, due_s=due_s)


def broken_locks(locks: LegLocks, fault: str | None) -> LegLocks:
    """What the lock switches of a broken leg say.

    Args:
        locks: what they said if nothing was broken.
        fault: what is broken; a hung leg has no broken switches.
    """
    if fault == LegFault.CONTRADICTORY:
        return LegLocks(up_locked=True, down_locked=True)
    if fault == LegFault.DOWN_SWITCH_STUCK:
        return replace(locks, down_locked=True)
    if fault == LegFault.DOWN_SWITCH_OPEN:
        return replace(locks, down_locked=False)
    return locks
