"""The gear handle: from its contacts to the last valid position.

Both contacts closed, or both open for longer than the handle's travel time, is a fault: the last
valid position is kept and nothing is commanded until one contact alone is closed again. A handle
whose board is not connected is no fault of its contacts; its position is then not to be trusted.
"""

from __future__ import annotations

from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.signals import GearPosition, HandleContacts

_TRAVEL = "handle travel"


class HandleChart(Chart):
    """What the handle's contacts say."""

    handle_unknown = State(initial=True)
    handle_valid = State()
    handle_between = State()
    handle_fault = State()

    one_closed = (
        handle_unknown.to(handle_valid) | handle_between.to(handle_valid)
        | handle_fault.to(handle_valid)
    )  # fmt: skip
    none_closed = handle_unknown.to(handle_between) | handle_valid.to(handle_between)
    both_closed = (
        handle_unknown.to(handle_fault) | handle_valid.to(handle_fault)
        | handle_between.to(handle_fault)
    )  # fmt: skip
    travel_passed = handle_between.to(handle_fault)
    board_lost = (
        handle_valid.to(handle_unknown) | handle_between.to(handle_unknown)
        | handle_fault.to(handle_unknown)
    )  # fmt: skip


_EVENTS = {
    HandleContacts.UP: "one_closed",
    HandleContacts.DOWN: "one_closed",
    HandleContacts.BETWEEN: "none_closed",
    HandleContacts.BOTH: "both_closed",
    HandleContacts.UNKNOWN: "board_lost",
}
_POSITIONS = {HandleContacts.UP: GearPosition.UP, HandleContacts.DOWN: GearPosition.DOWN}


class GearHandle:
    """The handle.

    Args:
        travel_s: longest time between its contacts, s.
        timers: for the travel time.
        log: takes its events.
    """

    def __init__(self, travel_s: float, timers: TimerHeap, log: EventLog) -> None:
        self._travel_s = travel_s
        self._timers = timers
        self._log = log
        self._chart = HandleChart()
        self._contacts = HandleContacts.UNKNOWN
        self.position: GearPosition | None = None
        """Last valid position; None before there was one."""
        self.fault = ""
        """What is wrong with its contacts; empty when nothing is."""

    @property
    def is_known(self) -> bool:
        """Its board is connected."""
        return self._contacts is not HandleContacts.UNKNOWN

    @property
    def is_valid(self) -> bool:
        """One contact alone is closed now."""
        return self._chart.state_id == "handle_valid"

    @property
    def known_position(self) -> GearPosition | None:
        """Where it stands now; None on its way, broken, or not known."""
        return self.position if self.is_valid else None

    def take(self, now_s: float, contacts: HandleContacts) -> None:
        """Take what the contacts say."""
        if contacts is self._contacts:
            return
        self._contacts = contacts
        before = self._chart.state_id
        self._chart.send_trigger(_EVENTS[contacts])
        state = self._chart.state_id
        if state == "handle_between" and before != state:
            self._timers.start(_TRAVEL, now_s + self._travel_s)
        elif state != "handle_between":
            self._timers.cancel(_TRAVEL)
        if before == "handle_fault" and state == "handle_valid":
            self._log.note(now_s, "gear_handle_recovered")
        if state != "handle_fault":
            self.fault = ""
        elif contacts is HandleContacts.BOTH and before != state:
            self._fail(now_s, "gear_handle_contradicted", "both contacts of the gear handle closed")
        position = _POSITIONS.get(contacts)
        if position is not None and position is not self.position:
            if self.position is not None and before != "handle_unknown":
                self._log.note(now_s, f"gear_handle_moved_{position}")
            self.position = position

    def timer_due(self, now_s: float, name: object) -> bool:
        """Whether the timer ``name`` is of this system; if so, act."""
        if name != _TRAVEL:
            return False
        self._chart.send_trigger("travel_passed")
        self._fail(now_s, "gear_handle_stuck_between", "no contact of the gear handle closed")
        return True

    def _fail(self, now_s: float, name: str, fault: str) -> None:
        self.fault = fault
        self._log.note(now_s, name)
