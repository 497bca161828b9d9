"""Finding a board, losing it and finding it again: the chart of a link and its back-off.

The chart holds no time and does no work: ``BoardSession`` does, and tells the chart what has
happened. Its states are those of ``LinkState``.
"""

from __future__ import annotations

from statemachine import State

from panelbridge.link.session.board_health import LinkState
from panelbridge.link.wire.time_outs import BACK_OFF_CAP_S, BACK_OFF_FIRST_S
from panelbridge.logic.chart import Chart


class LinkChart(Chart):
    """Where a board's link stands."""

    link_idle = State(initial=True)
    link_opening = State()
    link_greeting = State()
    link_setting_up = State()
    link_live = State()
    link_waiting = State()
    link_refused = State()

    link_started = link_idle.to(link_opening)
    port_opened = link_opening.to(link_greeting)
    port_failed = link_opening.to(link_waiting)
    hello_came = link_greeting.to(link_setting_up)
    set_up_done = link_setting_up.to(link_live)
    board_was_reset = link_live.to(link_setting_up)
    board_refused = link_greeting.to(link_refused) | link_setting_up.to(link_refused)
    link_was_lost = (
        link_greeting.to(link_waiting)
        | link_setting_up.to(link_waiting)
        | link_live.to(link_waiting)
    )
    wait_ended = link_waiting.to(link_opening) | link_refused.to(link_opening)
    link_stopped = (
        link_opening.to(link_idle)
        | link_greeting.to(link_idle)
        | link_setting_up.to(link_idle)
        | link_live.to(link_idle)
        | link_waiting.to(link_idle)
        | link_refused.to(link_idle)
    )

    @property
    def link_state(self) -> LinkState:
        """The active state as the rest of the program knows it."""
        return LinkState(self.state_id.removeprefix("link_"))


class LinkProgress:
    """How far a link has come, and since when.

    Attributes:
        state: where its chart stands.
        since_s: when that was entered, s.
    """

    def __init__(self) -> None:
        self._chart = LinkChart()
        self.state = self._chart.link_state
        self.since_s = 0.0

    def enter(self, now_s: float, trigger: str) -> None:
        """``trigger`` of the chart has happened."""
        self._chart.send_trigger(trigger)
        self.state = self._chart.link_state
        self.since_s = now_s


class BackOff:
    """The wait before the next try: short at first, doubling, capped."""

    def __init__(self) -> None:
        self._next_s = BACK_OFF_FIRST_S

    def take_s(self) -> float:
        """The wait that is due now, s; the next one is twice as long, up to the cap."""
        wait_s = self._next_s
        self._next_s = min(2 * wait_s, BACK_OFF_CAP_S)
        return wait_s

    def reset(self) -> None:
        """Begin again with the shortest wait: the link was live."""
        self._next_s = BACK_OFF_FIRST_S
