"""What the screen shows at once, and how often it shows the rest.

Lamps, horn, switches, states and faults are shown at the next look at the engine. Numbers change
with every frame and every metre, faster than they can be read, and a page costs milliseconds.
"""

from __future__ import annotations

from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.engine.snapshot import Snapshot

NUMBERS_EACH_S = 0.25
"""Shortest time between two drawings of a part in which numbers alone have changed, s."""


class DrawingPace:
    """When a part of the screen is to be drawn again."""

    def __init__(self) -> None:
        self._shown: dict[str, tuple[object, float]] = {}
        self._last_s: dict[str, float] = {}

    def is_due(self, part: str, states: object, snapshot: Snapshot) -> bool:
        """Whether to look at ``part`` now.

        Args:
            part: its name.
            states: what of it is shown at once.
            snapshot: to show. When its time stands still its numbers are due: none may follow.
        """
        stands = self._last_s.get(part) == snapshot.time_s
        self._last_s[part] = snapshot.time_s
        if not stands and part in self._shown:
            before, shown_s = self._shown[part]
            if states == before and 0 < snapshot.time_s - shown_s < NUMBERS_EACH_S:
                return False
        self._shown[part] = (states, snapshot.time_s)
        return True


def states_of(content: ScreenContent) -> object:
    """What is shown at once of a page."""
    snapshot = content.snapshot
    logic, outputs = snapshot.logic, snapshot.outputs
    return (
        (outputs.lamps, outputs.horn, outputs.solenoids),
        (snapshot.switches, content.switches.positions),
        [(leg.name, leg.state, leg.locks) for leg in logic.legs],
        (logic.handle, logic.gear_demand, logic.gear_disagrees, logic.on_ground, logic.faults),
        (logic.horn_causes, logic.warning_causes, logic.horn_silenced, logic.steering_engaged),
        (snapshot.aircraft.bus_powered, snapshot.feed_fresh, snapshot.feed_name),
        (snapshot.panel_name, snapshot.aircraft_name, snapshot.phase, snapshot.finished),
        (snapshot.show, link_states(snapshot)),
    )


def link_states(snapshot: Snapshot) -> object:
    """What is shown at once of the links."""
    return [(board.name, board.state, board.message, board.poor) for board in snapshot.boards]
