"""The door of a gear bay: open before the leg moves, closed after it has locked.

Source of the order: FAA-H-8083-31 ch. 12-13, sequence valves (door open, leg unlocked, leg locked,
door closed). A door is latched only while it is closed; on its way without power it stops, and goes
on when the power returns.
"""

from __future__ import annotations

from math import inf

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.gear.parameters import DoorParameters
from panelbridge.logic.gear.travel import AT_0, AT_1, set_off, stop
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.curves import Line

DOOR_FAULTS = ("jammed",)
"""A jammed door stays where it is."""


class DoorChart(Chart):
    """One door."""

    door_closed = State(initial=True)
    door_opening = State()
    door_open = State()
    door_closing = State()
    door_stopped = State()

    open_it = door_opening.from_(door_closed, door_closing, door_stopped)
    close_it = door_closing.from_(door_open, door_opening, door_stopped)
    halt = door_stopped.from_(door_opening, door_closing)
    arrived = door_opening.to(door_open) | door_closing.to(door_closed)


DOOR_WORDS = tuple(state.id.removeprefix("door_") for state in DoorChart.states)


class Door(Struct, frozen=True):
    """One door.

    Attributes:
        state_id: of the chart.
        travel: 0 (closed) to 1 (open).
        due_s: when it arrives, s.
        pace: how fast it is driven, 1 = in its own time.
    """

    state_id: str = "door_closed"
    travel: Line = AT_0
    due_s: float = inf
    pace: float = 1.0

    @classmethod
    def found(cls, *, is_open: bool) -> Door:
        """At one of its ends."""
        return cls("door_open", AT_1) if is_open else cls()

    @property
    def word(self) -> str:
        """Its state as a word."""
        return self.state_id.removeprefix("door_")

    @property
    def is_open(self) -> bool:
        """It is fully open."""
        return self.state_id == "door_open"

    def drive(
        self, now_s: float, numbers: DoorParameters, to_open: bool | None, pace: float = 1.0
    ) -> Door:
        """Drive it open or closed; with None nothing drives it, and it stays where it is."""
        door = self
        if pace != self.pace:
            door = replace(self, pace=pace)._entered(now_s, numbers, self.state_id)
        if to_open is None:
            return door._send(now_s, numbers, "halt")
        return door._send(now_s, numbers, "open_it" if to_open else "close_it")

    def came_due(self, now_s: float, numbers: DoorParameters) -> Door:
        """It has arrived."""
        return self._send(now_s, numbers, "arrived")

    def _send(self, now_s: float, numbers: DoorParameters, trigger: str) -> Door:
        after = DoorChart.after(self.state_id, trigger)
        return self if after == self.state_id else self._entered(now_s, numbers, after)

    def _entered(self, now_s: float, numbers: DoorParameters, state_id: str) -> Door:
        travel, due_s = self.travel, inf
        if state_id == "door_opening":
            travel, due_s = set_off(travel, now_s, 1.0, numbers.open_s / self.pace)
        elif state_id == "door_closing":
            travel, due_s = set_off(travel, now_s, 0.0, numbers.close_s / self.pace)
        elif state_id == "door_stopped":
            travel = stop(travel, now_s)
        else:
            travel = AT_1 if state_id == "door_open" else AT_0
        return Door(state_id, travel, due_s, self.pace)
