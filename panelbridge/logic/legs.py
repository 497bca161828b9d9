"""One gear leg of our own model: locks, transit, and how long each takes.

A leg that is driven first unlocks, then travels, then locks; driven the other way in transit it
goes back from where it is, and with nothing that drives it it stops there. No leg goes from one
lock to the other without travelling. Nothing but being driven up moves a leg off its down-lock: no
pressure is needed to hold it (14 CFR 23.729(b), before 2017); a lock that has not opened yet closes
again when the power goes.

Legs break on the bench, so that scenarios can show what lamps and horn make of it. A leg is broken
here and nowhere else, because what does not lock is the leg: nothing that looks at it knows why.
"""

from __future__ import annotations

from collections.abc import Hashable
from enum import StrEnum
from typing import Annotated

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.gear_doors import DoorParameters
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.travel import Travel
from panelbridge.signals import GearPosition, LegLocks, LegState

LegName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,15}$")]


class LegParameters(Parameters):
    """One leg."""

    name: LegName
    """Its name: small letters, digits, underscores. Its lamps are called after it: nose_green."""
    unlock_s: Annotated[float, Field(ge=0.0, le=10.0)] = 0.5
    """From the command until the lock is open and the leg moves, s."""
    extend_s: Annotated[float, Field(gt=0.0, le=60.0)] = 6.0
    """Travel from up to down, s, without unlocking."""
    retract_s: Annotated[float, Field(gt=0.0, le=60.0)] = 6.0
    """Travel from down to up, s, without unlocking."""
    free_fall_s: Annotated[float, Field(gt=0.0, le=120.0)] = 9.0
    """Travel from up to down by its own weight, s, without unlocking."""
    door: DoorParameters | None = None
    """The door of its bay; null for a leg without, or with one that the leg itself moves."""


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
        leg_down_locked.to(leg_unlocking_to_retract)
        | leg_extending.to(leg_retracting)
        | leg_unlocking_to_extend.to(leg_up_locked)
        | leg_stopped.to(leg_retracting)
    )
    extend = (
        leg_up_locked.to(leg_unlocking_to_extend)
        | leg_retracting.to(leg_extending)
        | leg_unlocking_to_retract.to(leg_down_locked)
        | leg_stopped.to(leg_extending)
    )
    lock_opened = leg_unlocking_to_retract.to(leg_retracting) | leg_unlocking_to_extend.to(
        leg_extending
    )
    arrived = leg_retracting.to(leg_up_locked) | leg_extending.to(leg_down_locked)
    halt = (
        leg_retracting.to(leg_stopped)
        | leg_extending.to(leg_stopped)
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
    LegState.DOWN_LOCKED: _DOWN,
    LegState.UNLOCKING_TO_RETRACT: _DOWN,
    LegState.RETRACTING: FREE_LOCKS,
    LegState.UP_LOCKED: _UP,
    LegState.UNLOCKING_TO_EXTEND: _UP,
    LegState.EXTENDING: FREE_LOCKS,
    LegState.STOPPED: FREE_LOCKS,
}
_ENDS = {LegState.EXTENDING: 1.0, LegState.RETRACTING: 0.0}
_LOCKED = {GearPosition.UP: LegState.UP_LOCKED, GearPosition.DOWN: LegState.DOWN_LOCKED}


class Leg:
    """One leg.

    Args:
        parameters: its numbers.
        timer: name of its timer.
        timers: for unlocking and travel.
        start: the lock it is in at the start.
    """

    def __init__(
        self, parameters: LegParameters, timer: Hashable, timers: TimerHeap, start: GearPosition
    ) -> None:
        self.parameters = parameters
        self._timers = timers
        self._timer = timer
        up = start is GearPosition.UP
        self._chart = LegChart(start_value="leg_up_locked" if up else "leg_down_locked")
        self._travel = Travel(0.0 if up else 1.0)
        self._fall = False
        self._hung = False
        self._broken: LegFault | None = None
        self.state = LegState.UP_LOCKED if up else LegState.DOWN_LOCKED

    @property
    def locks(self) -> LegLocks:
        """What its lock switches say."""
        return broken_locks(_LOCKS[self.state], self._broken)

    @property
    def in_transit(self) -> bool:
        """In truth it is locked at neither end, whatever its lock switches say."""
        return _LOCKS[self.state] is FREE_LOCKS

    def locked_at(self, end: GearPosition) -> bool:
        """In truth it is locked at ``end``, and nothing opens that lock."""
        return self.state is _LOCKED[end]

    def travel_fraction(self, now_s: float) -> float:
        """Where it is: 0 (up) to 1 (down)."""
        return self._travel.at(now_s)

    def drive(self, now_s: float, way: GearPosition | None, *, fall: bool = False) -> None:
        """Drive it up or down; a leg that is there or on its way does nothing.

        Args:
            now_s: seconds.
            way: None when nothing drives it: in transit it stops where it is.
            fall: it goes down by its own weight, in its own time.
        """
        if fall is not self._fall:
            self._fall = fall
            if self.state is LegState.EXTENDING:
                self._set_off(now_s)
        if way is None:
            self._send(now_s, "halt")
        else:
            self._send(now_s, "extend" if way is GearPosition.DOWN else "retract")

    def let_go(self, now_s: float) -> None:
        """What held it up has gone: it leaves its up-lock and hangs just below it."""
        self._send(now_s, "let_go")

    def timer_due(self, now_s: float) -> None:
        """Its timer came due: the lock is open, or it has arrived; a hung leg does not lock."""
        if self.state not in _ENDS:
            self._send(now_s, "lock_opened")
        elif not self._hung:
            self._send(now_s, "arrived")

    def set_fault(self, now_s: float, fault: LegFault | None) -> None:
        """Break it, or mend it; freed at the end of its travel it locks at once."""
        self._broken = fault
        self._hung = fault is LegFault.HUNG
        if not self._hung and self.state in _ENDS and not self._timers.running(self._timer):
            self._send(now_s, "arrived")

    def _send(self, now_s: float, trigger: str) -> None:
        if not self._chart.handles(trigger):
            return
        self._chart.send_trigger(trigger)
        state = self.state = _STATES[self._chart.state_id]
        if state in _ENDS:
            self._set_off(now_s)
        elif state in (LegState.UNLOCKING_TO_RETRACT, LegState.UNLOCKING_TO_EXTEND):
            self._timers.start(self._timer, now_s + self.parameters.unlock_s)
        else:
            self._timers.cancel(self._timer)
            if state is LegState.STOPPED:
                self._travel.stop(now_s)
            else:
                self._travel.put(0.0 if state is LegState.UP_LOCKED else 1.0)

    def _set_off(self, now_s: float) -> None:
        numbers = self.parameters
        if self.state is LegState.RETRACTING:
            full_s = numbers.retract_s
        else:
            full_s = numbers.free_fall_s if self._fall else numbers.extend_s
        self._timers.start(self._timer, self._travel.go(now_s, _ENDS[self.state], full_s))


def broken_locks(locks: LegLocks, fault: LegFault | None) -> LegLocks:
    """What the lock switches of a broken leg say.

    Args:
        locks: what they said if nothing was broken.
        fault: what is broken; a hung leg has no broken switches.
    """
    if fault is LegFault.CONTRADICTORY:
        return LegLocks(up_locked=True, down_locked=True)
    if fault is LegFault.DOWN_SWITCH_STUCK:
        return LegLocks(up_locked=locks.up_locked, down_locked=True)
    if fault is LegFault.DOWN_SWITCH_OPEN:
        return LegLocks(up_locked=locks.up_locked, down_locked=False)
    return locks
