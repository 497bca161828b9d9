"""The gear handle: from its contacts to the last valid position.

Both contacts closed, or both open for longer than the handle's travel time, is a fault: the last
valid position is kept and nothing is commanded until one contact alone is closed again. A handle
whose board is not connected is no fault of its contacts; its position is then not to be trusted.
"""

from __future__ import annotations

from math import inf

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.gear.events import EventLog
from panelbridge.logic.kit.chart import Chart
from panelbridge.signals import GearPosition, HandleContacts


class HandleChart(Chart):
    """What the handle's contacts say."""

    handle_unknown = State(initial=True)
    handle_valid = State()
    handle_between = State()
    handle_fault = State()

    one_closed = handle_valid.from_(handle_unknown, handle_between, handle_fault)
    none_closed = handle_between.from_(handle_unknown, handle_valid)
    both_closed = handle_fault.from_(handle_unknown, handle_valid, handle_between)
    travel_passed = handle_between.to(handle_fault)
    board_lost = handle_unknown.from_(handle_valid, handle_between, handle_fault)


_TRIGGERS = {
    HandleContacts.UP: "one_closed",
    HandleContacts.DOWN: "one_closed",
    HandleContacts.BETWEEN: "none_closed",
    HandleContacts.BOTH: "both_closed",
    HandleContacts.UNKNOWN: "board_lost",
}
_POSITIONS = {HandleContacts.UP: GearPosition.UP, HandleContacts.DOWN: GearPosition.DOWN}


class GearHandle(Struct, frozen=True):
    """The handle.

    Attributes:
        state_id: of the chart.
        contacts: what its contacts say.
        position: its last valid position; None before there was one.
        fault: what is wrong with its contacts; empty when nothing is.
        due_s: when it will have been between its contacts for too long, s.
    """

    state_id: str = "handle_unknown"
    contacts: HandleContacts = HandleContacts.UNKNOWN
    position: GearPosition | None = None
    fault: str = ""
    due_s: float = inf

    @property
    def is_known(self) -> bool:
        """Its board is connected."""
        return self.contacts is not HandleContacts.UNKNOWN

    @property
    def known_position(self) -> GearPosition | None:
        """Where it stands now; None on its way, broken, or unknown."""
        return self.position if self.state_id == "handle_valid" else None

    def take(
        self, now_s: float, contacts: HandleContacts, travel_s: float, log: EventLog
    ) -> GearHandle:
        """Take what the contacts say.

        Args:
            now_s: seconds.
            contacts: what they say.
            travel_s: longest time between its contacts, s.
            log: takes its events.
        """
        if contacts is self.contacts:
            return self
        before, state_id = self.state_id, HandleChart.after(self.state_id, _TRIGGERS[contacts])
        due_s = self.due_s if state_id == "handle_between" else inf
        if state_id == "handle_between" and before != state_id:
            due_s = now_s + travel_s
        if before == "handle_fault" and state_id == "handle_valid":
            log.note(now_s, "gear_handle_recovered")
        fault = self.fault if state_id == "handle_fault" else ""
        if contacts is HandleContacts.BOTH and before != state_id:
            fault = "both contacts of the gear handle closed"
            log.note(now_s, "gear_handle_contradicted")
        position = _POSITIONS.get(contacts, self.position)
        if position is not self.position and self.position and before != "handle_unknown":
            log.note(now_s, f"gear_handle_moved_{position}")
        return GearHandle(state_id, contacts, position, fault, due_s)

    def came_due(self, now_s: float, log: EventLog) -> GearHandle:
        """It has been between its contacts for too long."""
        log.note(now_s, "gear_handle_stuck_between")
        state_id = HandleChart.after(self.state_id, "travel_passed")
        fault = "no contact of the gear handle closed"
        return replace(self, state_id=state_id, fault=fault, due_s=inf)
