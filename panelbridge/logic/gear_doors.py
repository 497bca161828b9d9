"""The doors of the gear's bays: open before the leg moves, closed after it has locked.

Source of the order: FAA-H-8083-31 ch. 12-13, sequence valves (door open, leg unlocked, leg locked,
door closed). A door is latched only while it is closed; on its way without power it stops, and goes
on when the power returns.
"""

from __future__ import annotations

from collections.abc import Hashable
from enum import StrEnum
from typing import Annotated

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.travel import Travel


class DoorParameters(Parameters):
    """The door of one leg."""

    open_s: Annotated[float, Field(gt=0.0, le=30.0)] = 1.0
    """From closed to open, s."""
    close_s: Annotated[float, Field(gt=0.0, le=30.0)] = 1.0
    """From open to closed, s."""
    close_when_down: bool = True
    """It closes again over the bay when the leg is down; else it stays open until the leg is up."""


class DoorState(StrEnum):
    """Where a door is."""

    CLOSED = "closed"
    """Closed and latched."""
    OPENING = "opening"
    OPEN = "open"
    CLOSING = "closing"
    STOPPED = "stopped"
    """Somewhere between, and nothing moves it."""


class DoorFault(StrEnum):
    """What can be broken at a door."""

    JAMMED = "jammed"
    """It stays where it is."""


class DoorChart(Chart):
    """One door."""

    door_closed = State(initial=True)
    door_opening = State()
    door_open = State()
    door_closing = State()
    door_stopped = State()

    open_it = (
        door_closed.to(door_opening) | door_closing.to(door_opening) | door_stopped.to(door_opening)
    )
    close_it = (
        door_open.to(door_closing) | door_opening.to(door_closing) | door_stopped.to(door_closing)
    )
    halt = door_opening.to(door_stopped) | door_closing.to(door_stopped)
    arrived = door_opening.to(door_open) | door_closing.to(door_closed)


_STATES = {f"door_{state.value}": state for state in DoorState}


class Door:
    """One door.

    Args:
        parameters: its numbers.
        timer: name of its timer.
        timers: for its movements.
        is_open: where it is at first.
    """

    def __init__(
        self, parameters: DoorParameters, timer: Hashable, timers: TimerHeap, *, is_open: bool
    ) -> None:
        self.parameters = parameters
        self._timer = timer
        self._timers = timers
        self._chart = DoorChart(start_value="door_open" if is_open else "door_closed")
        self._travel = Travel(1.0 if is_open else 0.0)
        self._asked: bool | None = None
        self._jammed = False
        self.state = DoorState.OPEN if is_open else DoorState.CLOSED

    def open_fraction(self, now_s: float) -> float:
        """Where it is: 0 (closed) to 1 (open)."""
        return self._travel.at(now_s)

    def drive(self, now_s: float, *, to_open: bool | None) -> None:
        """Drive it open or closed; with None nothing drives it, and it stays where it is."""
        self._asked = to_open
        if to_open is None or self._jammed:
            self._send(now_s, "halt")
        else:
            self._send(now_s, "open_it" if to_open else "close_it")

    def jam(self, now_s: float, *, jammed: bool) -> None:
        """Jam it where it is, or free it: it then goes on with what was asked of it last."""
        self._jammed = jammed
        self.drive(now_s, to_open=self._asked)

    def timer_due(self, now_s: float) -> None:
        """It has arrived."""
        self._send(now_s, "arrived")

    def _send(self, now_s: float, trigger: str) -> None:
        if not self._chart.handles(trigger):
            return
        self._chart.send_trigger(trigger)
        state = self.state = _STATES[self._chart.state_id]
        if state is DoorState.OPENING:
            self._timers.start(self._timer, self._travel.go(now_s, 1.0, self.parameters.open_s))
        elif state is DoorState.CLOSING:
            self._timers.start(self._timer, self._travel.go(now_s, 0.0, self.parameters.close_s))
        else:
            self._timers.cancel(self._timer)
            if state is DoorState.STOPPED:
                self._travel.stop(now_s)
            else:
                self._travel.put(1.0 if state is DoorState.OPEN else 0.0)
