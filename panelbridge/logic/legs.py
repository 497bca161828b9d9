"""The gear legs of our own model: locks, transit, and how long each takes.

A leg asked to move first unlocks, then travels, then locks; turned round in transit it goes back
from where it is. No leg goes from one lock to the other without travelling. Nothing but being asked
moves a leg off its down-lock: no pressure is needed to hold it (14 CFR 23.729(b), before 2017).

Legs break on the bench, so that scenarios can show what lamps and horn make of it. A leg is broken
here and nowhere else, because what does not lock is the leg: nothing that looks at it knows why.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Annotated

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.parameters import Parameters
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


class LegFault(StrEnum):
    """What can be broken at a leg."""

    HUNG = "hung"
    """It unlocks and travels when it is asked to, and never locks."""
    CONTRADICTORY = "contradictory"
    """Both its lock switches are made, wherever it is."""


class LegChart(Chart):
    """One leg."""

    leg_down_locked = State(initial=True)
    leg_unlocking_to_retract = State()
    leg_retracting = State()
    leg_up_locked = State()
    leg_unlocking_to_extend = State()
    leg_extending = State()

    retract = (
        leg_down_locked.to(leg_unlocking_to_retract)
        | leg_extending.to(leg_retracting)
        | leg_unlocking_to_extend.to(leg_up_locked)
    )
    extend = (
        leg_up_locked.to(leg_unlocking_to_extend)
        | leg_retracting.to(leg_extending)
        | leg_unlocking_to_retract.to(leg_down_locked)
    )
    lock_opened = leg_unlocking_to_retract.to(leg_retracting) | leg_unlocking_to_extend.to(
        leg_extending
    )
    arrived = leg_retracting.to(leg_up_locked) | leg_extending.to(leg_down_locked)


_STATES = {f"leg_{state.value}": state for state in LegState if state is not LegState.UNKNOWN}
_UP = LegLocks(up_locked=True, down_locked=False)
_DOWN = LegLocks(up_locked=False, down_locked=True)
_FREE = LegLocks(up_locked=False, down_locked=False)
# The lock switches stay made until the lock has opened.
_LOCKS = {
    LegState.DOWN_LOCKED: _DOWN,
    LegState.UNLOCKING_TO_RETRACT: _DOWN,
    LegState.RETRACTING: _FREE,
    LegState.UP_LOCKED: _UP,
    LegState.UNLOCKING_TO_EXTEND: _UP,
    LegState.EXTENDING: _FREE,
}
_WAYS = {LegState.EXTENDING: 1.0, LegState.RETRACTING: -1.0}


class Leg:
    """One leg.

    Args:
        parameters: its numbers.
        timers: for unlocking and travel.
        start: the lock it is in at the start.
    """

    def __init__(self, parameters: LegParameters, timers: TimerHeap, start: GearPosition) -> None:
        self._parameters = parameters
        self._timers = timers
        self._timer = ("leg", parameters.name)
        up = start is GearPosition.UP
        self._chart = LegChart(start_value="leg_up_locked" if up else "leg_down_locked")
        self._from_fraction = 0.0 if up else 1.0
        self._from_s = 0.0
        self._hung = False
        self.state = LegState.UP_LOCKED if up else LegState.DOWN_LOCKED

    @property
    def locks(self) -> LegLocks:
        """Its lock switches."""
        return _LOCKS[self.state]

    def travel_fraction(self, now_s: float) -> float:
        """Where it is: 0 (up) to 1 (down)."""
        way = _WAYS.get(self.state)
        if way is None:
            return self._from_fraction
        moved = way * (now_s - self._from_s) / self._travel_s(self.state)
        return min(max(self._from_fraction + moved, 0.0), 1.0)

    def ask(self, now_s: float, demand: GearPosition) -> None:
        """Ask it to go to ``demand``; a leg that is there or on its way does nothing."""
        self._send(now_s, "extend" if demand is GearPosition.DOWN else "retract")

    def timer_due(self, now_s: float) -> None:
        """Its timer came due: the lock is open, or it has arrived; a hung leg does not lock."""
        if self.state not in _WAYS:
            self._send(now_s, "lock_opened")
        elif not self._hung:
            self._send(now_s, "arrived")

    def hang(self, now_s: float, *, hung: bool) -> None:
        """Hang it up, or free it: freed at the end of its travel it locks at once."""
        self._hung = hung
        if not hung and self.state in _WAYS and not self._timers.running(self._timer):
            self._send(now_s, "arrived")

    def _send(self, now_s: float, event: str) -> None:
        fraction = self.travel_fraction(now_s)
        self._chart.send_event(event)
        state = _STATES[self._chart.state_id]
        if state is self.state:
            return
        self.state = state
        self._from_s = now_s
        timer = self._timer
        if state in _WAYS:
            self._from_fraction = fraction
            left = 1.0 - fraction if state is LegState.EXTENDING else fraction
            self._timers.start(timer, now_s + left * self._travel_s(state))
        elif state in (LegState.UP_LOCKED, LegState.DOWN_LOCKED):
            self._timers.cancel(timer)
            self._from_fraction = 0.0 if state is LegState.UP_LOCKED else 1.0
        else:
            self._timers.start(timer, now_s + self._parameters.unlock_s)

    def _travel_s(self, state: LegState) -> float:
        extending = state is LegState.EXTENDING
        return self._parameters.extend_s if extending else self._parameters.retract_s


class Gear:
    """All legs together.

    Args:
        legs: their parameters.
        timers: for their movements.
    """

    def __init__(self, legs: Sequence[LegParameters], timers: TimerHeap) -> None:
        self._parameters = tuple(legs)
        self._timers = timers
        self._asked = GearPosition.DOWN
        self._hung: set[str] = set()
        self.legs: tuple[Leg, ...] = ()
        self.place(GearPosition.DOWN)

    def place(self, position: GearPosition) -> None:
        """Put every leg into a lock without a movement: where it is found at the start."""
        self._asked = position
        self.legs = tuple(
            Leg(parameters, self._timers, position) for parameters in self._parameters
        )
        self._by_name = {
            parameters.name: leg
            for parameters, leg in zip(self._parameters, self.legs, strict=True)
        }
        for name in self._hung:
            self._by_name[name].hang(0.0, hung=True)

    @property
    def locks(self) -> tuple[LegLocks, ...]:
        """Lock switches of every leg."""
        return tuple([leg.locks for leg in self.legs])

    def ask(self, now_s: float, demand: GearPosition) -> None:
        """Ask every leg to go to ``demand``; nothing when that was asked last."""
        if demand is self._asked:
            return
        self._asked = demand
        for leg in self.legs:
            leg.ask(now_s, demand)

    def hang(self, now_s: float, name: str, *, hung: bool) -> None:
        """Hang the leg ``name`` up, or free it. A wrong name is a KeyError."""
        self._by_name[name].hang(now_s, hung=hung)
        (self._hung.add if hung else self._hung.discard)(name)

    def timer_due(self, now_s: float, name: object) -> bool:
        """Whether the timer ``name`` is of a leg; if so, act."""
        if not (isinstance(name, tuple) and name[0] == "leg"):
            return False
        self._by_name[name[1]].timer_due(now_s)
        return True
