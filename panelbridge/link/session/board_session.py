"""One board, from opening its port to releasing it: polled by the engine, without a thread.

In each turn the engine calls ``poll`` (which reads the port), steps the logic with what it returned
and calls ``command`` (which sends when an output has changed). That COMMAND also acknowledges the
edges; when no output has changed, one is sent at the end of the iteration over what ``poll``
returned. So one frame answers an edge.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator

from panelbridge.clock import Clock
from panelbridge.errors import BoardRefused, LinkError, MessageError
from panelbridge.link.ports.frame_port import Frame, FramePort
from panelbridge.link.ports.opener import Opener
from panelbridge.link.ports.port_watch import PortWatch
from panelbridge.link.session.bring_up import BringUp
from panelbridge.link.session.greeting import release_board
from panelbridge.link.session.link_events import LinkEventPublisher
from panelbridge.link.session.link_quality import LinkQuality
from panelbridge.link.session.live_dialogue import LiveDialogue
from panelbridge.link.session.output_values import OutputValues
from panelbridge.link.session.reconnect import BackOff, LinkProgress
from panelbridge.link.session.session_outputs import (
    BoardHealth,
    BoardLive,
    LinkCounts,
    LinkState,
    SessionOutput,
    SwitchesForgotten,
)
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.wire import Capture, Captured, Hello, MessageType, SetupReply
from panelbridge.link.wire.time_outs import BACK_OFF_CAP_S, LOOK_EACH_S
from panelbridge.signals import Outputs

_REPORT = int(MessageType.REPORT)
_NOW = float("-inf")
_NEVER = float("inf")


class BoardSession:
    """Keeps one board live."""

    def __init__(self, plan: SetupPlan, url: str, opener: Opener) -> None:
        self.name = plan.board_name
        self.url = url
        self.plan = plan
        self._port = FramePort()
        self._progress = LinkProgress()
        self._bring_up = BringUp(plan, url, opener, self._port, self._progress)
        self._live: LiveDialogue | None = None  # there once the set-up is active
        self._absence_s = 2 * plan.entry.host_timeout_ms / 1000
        self._due_s = _NOW
        self._look_s = _NOW
        self._last_poll_s = 0.0
        self._back_off = BackOff()
        self._watch = PortWatch(url)
        self._publisher = LinkEventPublisher(self.name, url)
        self._counts = LinkCounts()
        self._quality = LinkQuality()
        self._was_live = False
        self._events: list[SessionOutput] = []
        self._outputs: Outputs | None = None
        self._output_values = OutputValues(plan)
        self._values = plan.idle_values

    def poll(self, now_s: float) -> Iterable[SessionOutput]:
        """Read what has come and do what is due; the result must be iterated to its end."""
        away_s = now_s - self._last_poll_s
        self._last_poll_s = now_s
        if away_s > self._absence_s and self._live is not None and self._live.is_live:
            # Suspended, stopped or overloaded: what it reads now is from that time.
            self._host_was_silent(
                now_s, self._live, f"this computer stood still for {away_s:.1f} s"
            )
        try:
            messages = self._port.read(now_s)
            if messages:
                self._take(now_s, messages)
            # An answer to a REPORT waits for the logic, which may change an output.
            live = self._live
            if (live is None or not live.answer_due) and now_s >= self.next_due_s:
                self._act(now_s)
        except LinkError as error:
            self._fail(now_s, error)
        if now_s >= self._quality.due_s:
            self._measure(now_s)
        if self._events:
            return self._deliver(now_s)
        self._answer(now_s)
        return ()

    def command(self, now_s: float, outputs: Outputs) -> None:
        """Set this board's lamps, horn and gauges; sent at once when their values differ."""
        if outputs is self._outputs:
            return
        self._outputs = outputs
        self._values = values = self._output_values.of(outputs)
        live = self._live
        if live is not None and live.want(values):
            self._send(now_s, live)

    def capture(self, now_s: float, contact: int, window_ms: int = 100) -> bool:
        """Have the board watch the raw changes of a contact; ``poll`` returns a ``Captured``.

        Args:
            now_s: the time, s.
            contact: index in the plan's contacts; ``NO_CONTACT`` ends the watch.
            window_ms: how long to watch from the first change on, ms, 1-1000.

        Returns:
            Whether the request was sent: False while the board is not live.
        """
        live = self._live
        if live is None or not live.is_live:
            return False
        try:
            self._port.write(now_s, Capture(live.session, contact, window_ms).pack())
        except LinkError as error:
            self._fail(now_s, error)
            return False
        return True

    @property
    def next_due_s(self) -> float:
        """When ``poll`` next has something to do even if no byte comes, s."""
        if self._events:
            return _NOW
        if self._live is not None:
            return self._live.next_due_s
        if self._bring_up.under_way:
            return self._bring_up.next_due_s(self._last_poll_s)
        if self._watch.can_see and self._due_s < _NEVER:
            return min(self._due_s, self._look_s)
        return self._due_s

    def fileno(self) -> int | None:
        """Descriptor to wait on; None when there is none."""
        return self._port.fileno()

    def health(self) -> BoardHealth:
        """How the link is doing."""
        counts, quality, live = self._counts, self._quality, self._live
        age_s = (
            self._last_poll_s - live.last_report_s if live is not None and live.is_live else None
        )
        return BoardHealth(
            name=self.name,
            kind=self.plan.entry.board,
            url=self.url,
            state=self._progress.state,
            frames_received=self._port.counts.good,
            frames_sent=self._port.frames_sent,
            frame_errors=self._port.counts.bad + counts.malformed,
            board_errors=counts.board_errors,
            round_trip_ms=counts.round_trip_ms,
            reconnects=counts.reconnects,
            edges_lost=counts.edges_lost,
            message=self._bring_up.remark or self._publisher.message,
            damaged_fraction=quality.fraction,
            age_s=age_s,
            poor=quality.words,
        )

    def recent_frames(self) -> tuple[Frame, ...]:
        """The last frames both ways, oldest first, for fault-finding."""
        return self._port.recent_frames()

    def release(self, clock: Clock) -> None:
        """Stop for good: the board's outputs go to idle, its port is closed.

        Waits at most ``RELEASE_WAIT_S`` for a live board to answer.
        """
        if self._due_s == _NEVER:
            return
        if self._live is not None or self._bring_up.is_setting_up:
            # A board that is gone already goes to idle after its own time-out.
            with contextlib.suppress(LinkError):
                release_board(self._port, clock, await_answer=self._live is not None)
        self._close()
        if self._progress.state is not LinkState.IDLE:
            self._progress.enter(clock.now(), "link_stopped")
        self._events.clear()
        self._due_s = _NEVER

    def _measure(self, now_s: float) -> None:
        """Once a second: how good the link of a live board is."""
        quality, counts, live = self._quality, self._counts, self._live
        if live is None or not live.is_live:
            quality.due_s = now_s + 1.0
            return
        received = (self._port.counts.good, self._port.counts.bad + counts.malformed)
        sent = self._port.frames_sent
        if quality.measure(now_s, received, sent, counts.board_errors, counts.round_trip_ms):
            self._events += self._publisher.quality_changed(now_s, quality.words)

    def _deliver(self, now_s: float) -> Iterator[SessionOutput]:
        events, self._events = self._events, []
        yield from events
        self._answer(now_s)

    def _answer(self, now_s: float) -> None:
        live = self._live
        if live is not None and live.answer_due:
            self._send(now_s, live)

    def _send(self, now_s: float, live: LiveDialogue) -> None:
        try:
            self._port.write(now_s, live.command(now_s))
        except LinkError as error:
            self._fail(now_s, error)

    def _act(self, now_s: float) -> None:
        if self._live is not None:
            heard = self._port.heard_since(self._live.last_report_s)
            message = self._live.message_due(now_s, heard)
            if message is not None:
                self._port.write(now_s, message)
        elif self._bring_up.under_way:
            self._bring_up.act(now_s)
        elif self._may_open(now_s):
            first = self._progress.state is LinkState.IDLE
            self._progress.enter(now_s, "link_started" if first else "wait_ended")
            self._bring_up.open(now_s)

    def _may_open(self, now_s: float) -> bool:
        """Whether the wait is over: its time has come, or the port has come back."""
        self._look_s = now_s + LOOK_EACH_S
        if self._watch.has_come():
            self._back_off.reset()
            return True
        return now_s >= self._due_s

    # Messages from the board

    def _host_was_silent(self, now_s: float, live: LiveDialogue, what: str) -> None:
        live.doubt(now_s)
        self._events.append(SwitchesForgotten())
        self._events += self._publisher.host_not_heard(now_s, what)

    def _take(self, now_s: float, messages: list[bytes]) -> None:
        if self._live is not None and self._live.host_was_silent(messages):
            what = "the board got nothing from this computer for a while"
            self._host_was_silent(now_s, self._live, what)
        for message in messages:
            live = self._live
            if live is None or message[0] != _REPORT:
                self._take_other(now_s, message)
                continue
            event = live.take_report(now_s, message)
            if event is not None:
                if type(event) is BoardLive:
                    self._went_live(now_s)
                self._events.append(event)
            if self._publisher.holds_back:
                self._events += self._publisher.stays_live(now_s)
            if live.flags_changed:
                live.flags_changed = False
                self._events += self._publisher.flags_changed(
                    now_s, live.flags, edges_were_lost=live.edges_were_lost
                )

    def _take_other(self, now_s: float, message: bytes) -> None:
        kind = message[0]
        try:
            if kind == MessageType.HELLO:
                self._take_hello(now_s, Hello.unpack(message))
            elif kind == MessageType.SETUP_REPLY:
                self._take_reply(now_s, SetupReply.unpack(message))
            elif kind == MessageType.CAPTURED:
                captured = Captured.unpack(message)
                if self._live is not None and captured.session == self._live.session:
                    self._events.append(captured)
            elif kind != MessageType.REPORT:
                self._counts.malformed += 1
        except MessageError:
            self._counts.malformed += 1
        self._bring_up.frame_received(now_s)

    def _take_hello(self, now_s: float, hello: Hello) -> None:
        if not self._bring_up.is_from_restart(hello, set_up=self._live is not None):
            return
        if self._progress.state is LinkState.LIVE:
            self._progress.enter(now_s, "board_was_reset")
            self._events += self._publisher.was_reset(now_s)
        self._quality.restart()
        self._bring_up.take_hello(now_s, hello)
        self._live = None

    def _take_reply(self, now_s: float, reply: SetupReply) -> None:
        if self._bring_up.take_reply(reply):
            start = self._bring_up
            self._live = LiveDialogue(self.plan, start.session, now_s, start.where, self._counts)
            self._live.want(self._values)

    def _went_live(self, now_s: float) -> None:
        self._progress.enter(now_s, "set_up_done")
        self._back_off.reset()
        self._bring_up.succeeded()
        again = self._was_live
        self._events += self._publisher.went_live(now_s, again=again)
        self._was_live = True
        self._counts.reconnects += again

    # Failures

    def _fail(self, now_s: float, error: LinkError) -> None:
        state = self._progress.state
        was_live = state is LinkState.LIVE
        self._events += self._publisher.failed(now_s, error, was_live=was_live)
        self._close()
        if isinstance(error, BoardRefused):
            self._due_s = now_s + BACK_OFF_CAP_S
            self._progress.enter(now_s, "board_refused")
            return
        self._due_s = now_s + self._back_off.take_s()
        trigger = "port_failed" if state is LinkState.OPENING else "link_was_lost"
        self._progress.enter(now_s, trigger)

    def _close(self) -> None:
        self._live = None
        self._quality.restart()
        self._bring_up.abandon()
        self._port.detach()
