"""Finding a board, losing it and finding it again: the states of a link, and its back-off."""

from __future__ import annotations

from statemachine import State

from panelbridge.link.session.session_outputs import LinkState
from panelbridge.link.wire.time_outs import BACK_OFF_CAP_S, BACK_OFF_FIRST_S
from panelbridge.logic.kit.chart import Chart


class LinkChart(Chart):
    """The states of a board's link, as in ``LinkState``. ``BoardSession`` does the work."""

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
    board_refused = link_refused.from_(link_greeting, link_setting_up)
    link_was_lost = link_waiting.from_(link_greeting, link_setting_up, link_live)
    wait_ended = link_opening.from_(link_waiting, link_refused)
    link_stopped = link_idle.from_(
        link_opening, link_greeting, link_setting_up, link_live, link_waiting, link_refused
    )


class LinkProgress:
    """The state of a link, and since when.

    Attributes:
        state: the present state.
        since_s: when it was entered, s.
    """

    def __init__(self) -> None:
        self.state = LinkState.IDLE
        self.since_s = 0.0

    def enter(self, now_s: float, trigger: str) -> None:
        """Follow a trigger of the chart."""
        self.state = LinkState(LinkChart.after(f"link_{self.state}", trigger)[len("link_") :])
        self.since_s = now_s


class BackOff:
    """The wait before the next try: short at first, then doubling up to a cap."""

    def __init__(self) -> None:
        self._next_s = BACK_OFF_FIRST_S

    def take_s(self) -> float:
        """The wait before this try, s; the next one is twice as long, up to the cap."""
        wait_s = self._next_s
        self._next_s = min(2 * wait_s, BACK_OFF_CAP_S)
        return wait_s

    def reset(self) -> None:
        """Start again with the shortest wait: the link was live."""
        self._next_s = BACK_OFF_FIRST_S
