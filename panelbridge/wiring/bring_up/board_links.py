"""Keeps the boards live with the set-up that the flow wants, and passes on what they report."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.clock import Clock
from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_wires import Place
from panelbridge.link.ports.opener import Opener
from panelbridge.link.session import (
    BoardLive,
    BoardLost,
    BoardSession,
    EdgesArrived,
    LinkState,
    SetupPlan,
    StateArrived,
    SwitchesForgotten,
)
from panelbridge.link.wire import NO_CONTACT, Captured
from panelbridge.wiring.bring_up.exams.bounce import WINDOW_MS
from panelbridge.wiring.bring_up.flow import BringUpFlow
from panelbridge.wiring.bring_up.input_plan import analogue_places, contact_places, input_plan

_ASK_AGAIN_S = 0.5
"""A request to capture that was not answered is sent again after this, s."""


class BoardLinks:
    """The sessions of one bring-up. Polled, without a thread.

    Args:
        flow: gets what the boards report.
        urls: the port of each board.
        opener: opens ports.
        clock: waits for the answer when a board is released.
    """

    def __init__(
        self, flow: BringUpFlow, urls: Mapping[str, str], opener: Opener, clock: Clock
    ) -> None:
        self.urls = dict(urls)
        self._flow = flow
        self._opener = opener
        self._clock = clock
        self._sessions: dict[str, BoardSession] = {}
        self._set_up = ""
        self._loaded: LoadedPanel | None = None
        self._captured: Place | None = None
        self._asked_s: float | None = None

    def exchange(self, one: str, other: str) -> None:
        """Let two boards change ports."""
        self.urls[one], self.urls[other] = self.urls[other], self.urls[one]
        self._loaded = None  # the sessions are to be made again

    def turn(self, now_s: float) -> None:
        """Read what has come, send what is due, and follow the flow."""
        self._follow(now_s)
        for name, session in self._sessions.items():
            for output in session.poll(now_s):
                self._take(now_s, name, session, output)
            health = session.health()
            if health.state is not LinkState.LIVE:
                self._flow.board_waits(name, health.message or _WORDS[health.state])
        self._flow.tick(now_s)
        self._follow(now_s)
        for session in self._sessions.values():
            session.command(now_s, self._flow.outputs)
        self._ask_for_capture(now_s)

    def close(self) -> None:
        """Release all boards: their outputs go to idle."""
        for session in self._sessions.values():
            session.release(self._clock)
        self._sessions.clear()

    def _follow(self, now_s: float) -> None:
        """Give each board the set-up that the flow wants."""
        flow = self._flow
        if flow.set_up == self._set_up and flow.loaded is self._loaded:
            return
        panel = flow.loaded.panel
        for name in panel.boards:
            make = input_plan if flow.set_up == "inputs" else SetupPlan.of
            plan = make(panel, name)
            before = self._sessions.get(name)
            if before is not None:
                same = before.plan.items == plan.items and before.url == self.urls[name]
                if same and flow.set_up == self._set_up:
                    continue
                before.release(self._clock)
                flow.board_lost(now_s, name, "")
            self._sessions[name] = BoardSession(plan, self.urls[name], self._opener)
        self._set_up, self._loaded = flow.set_up, flow.loaded
        self._captured = None

    def _take(self, now_s: float, name: str, session: BoardSession, output: object) -> None:
        flow, plan = self._flow, session.plan
        if isinstance(output, BoardLive):
            contacts = _contacts(plan, output.contacts) if self._set_up == "inputs" else {}
            counts = _counts(plan, output.analogues) if self._set_up == "inputs" else {}
            flow.board_live(now_s, name, self._set_up, contacts, counts)
            self._captured = None
        elif isinstance(output, BoardLost):
            flow.board_lost(now_s, name, output.reason)
        elif self._set_up != "inputs":
            return
        elif isinstance(output, EdgesArrived):
            places = contact_places(plan)
            for edge in output.edges:
                flow.contact_changed(now_s, places[edge.contact], edge.closed)
            self._take_state(now_s, plan, output)
        elif isinstance(output, StateArrived):
            self._take_state(now_s, plan, output)
        elif isinstance(output, Captured):
            self._take_captured(now_s, plan, output)
        elif isinstance(output, SwitchesForgotten):
            self._captured = None

    def _take_state(
        self, now_s: float, plan: SetupPlan, output: EdgesArrived | StateArrived
    ) -> None:
        contacts = _contacts(plan, output.contacts)
        for place, closed in [*self._flow.pins.differing(plan.board_name, contacts)]:
            self._flow.contact_changed(now_s, place, closed)
        self._flow.pins.counts.update(_counts(plan, output.analogues))

    def _take_captured(self, now_s: float, plan: SetupPlan, output: Captured) -> None:
        if output.contact >= len(plan.contacts):
            return
        self._asked_s = None
        if output.changes:
            self._captured = None
            self._flow.captured(now_s, contact_places(plan)[output.contact], output)

    def _ask_for_capture(self, now_s: float) -> None:
        wanted = self._flow.capture if self._set_up == "inputs" else None
        late = self._asked_s is not None and now_s > self._asked_s + _ASK_AGAIN_S
        if wanted == self._captured and not late:
            return
        before, self._captured = self._captured, None
        if before is not None and before.board in self._sessions and wanted is None:
            self._sessions[before.board].capture(now_s, NO_CONTACT)
            self._asked_s = None
        if wanted is None:
            return
        session = self._sessions[wanted.board]
        places = contact_places(session.plan)
        if wanted in places and session.capture(now_s, places.index(wanted), WINDOW_MS):
            self._captured, self._asked_s = wanted, now_s


def _contacts(plan: SetupPlan, bits: int) -> dict[Place, bool]:
    return {place: bool(bits >> at & 1) for at, place in enumerate(contact_places(plan))}


def _counts(plan: SetupPlan, analogues: tuple[int, ...]) -> dict[Place, int]:
    return dict(zip(analogue_places(plan), analogues, strict=True))


_WORDS = {
    LinkState.IDLE: "it is being opened",
    LinkState.OPENING: "its port is being opened",
    LinkState.GREETING: "its port is open, its hello has not come yet",
    LinkState.SETTING_UP: "it is being set up",
    LinkState.WAITING: "its port is not there",
    LinkState.REFUSED: "it cannot be used as it is",
}
