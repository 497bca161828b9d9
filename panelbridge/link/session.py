"""One board, from opening its port to the last lamp: polled by the engine, without a thread.

A turn is: ``poll`` (reads the port, gives what has happened), the engine steps the logic,
``command`` (sends when an output has changed). Edges that ``poll`` gave are acknowledged by the
COMMAND that ``command`` sends or, when nothing has changed, at the end of the iteration over what
``poll`` gave: one frame answers an edge.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator

from panelbridge.clock import Clock
from panelbridge.config.panel_file import BoardEntry
from panelbridge.errors import BoardRefused, LinkError, MessageError
from panelbridge.link.greeting import Greeting
from panelbridge.link.health import BoardHealth, LinkState
from panelbridge.link.live_dialogue import LiveDialogue
from panelbridge.link.messages import Hello, MessageType, Release, ReportFlag, SetupReply
from panelbridge.link.opener import Opener, Opening
from panelbridge.link.port import is_in_process
from panelbridge.link.reconnect import BackOff, LinkChart
from panelbridge.link.session_events import (
    BoardLive,
    BoardLost,
    EdgesArrived,
    SessionEvent,
    StateArrived,
)
from panelbridge.link.setup_dialogue import SetupDialogue
from panelbridge.link.setup_plan import SetupPlan
from panelbridge.link.tally import Tally
from panelbridge.link.times import (
    BACK_OFF_CAP_S,
    HELLO_WAIT_S,
    IN_PROCESS_LOOK_S,
    OPENING_LOOK_S,
    RELEASE_WAIT_S,
    SETUP_RESTARTS,
)
from panelbridge.link.troubles import SUPPLY_HINT, Troubles, check_hello, keeps_resetting
from panelbridge.link.wire import Frame, Wire
from panelbridge.signals import Level, Outputs

__all__ = ["BoardLive", "BoardLost", "BoardSession", "EdgesArrived", "StateArrived"]

_REPORT = int(MessageType.REPORT)
_NOW = float("-inf")
_NEVER = float("inf")


class BoardSession:
    """Keeps one board live.

    Args:
        name: the board's name in the panel file.
        entry: its entry in the panel file.
        url: its port.
        plan: its set-up.
        opener: opens ports.
    """

    def __init__(
        self, name: str, entry: BoardEntry, url: str, plan: SetupPlan, opener: Opener
    ) -> None:
        self.name = name
        self._entry = entry
        self._url = url
        self._plan = plan
        self._opener = opener
        self._where = f"board {name} on {url}"
        self._in_process = is_in_process(url)
        self._chart = LinkChart()
        self._state = LinkState.IDLE
        self._since_s = 0.0
        self._due_s = _NOW
        self._last_poll_s = 0.0
        self._back_off = BackOff()
        self._troubles = Troubles(name, url)
        self._tally = Tally()
        self._events: list[SessionEvent] = []
        self._wire = Wire()
        # Of these four one is there at a time: how far the link has come.
        self._opening: Opening | None = None
        self._greeting: Greeting | None = None
        self._setup: SetupDialogue | None = None
        self._live: LiveDialogue | None = None
        self._hello: Hello | None = None
        self._session = 0
        self._setups = 0
        self._resets = 0
        self._outputs: Outputs | None = None
        self._values = plan.idle_values

    def poll(self, now_s: float) -> Iterable[SessionEvent]:
        """Read what has come, do what is due, give what has happened; to be iterated to its end."""
        self._last_poll_s = now_s
        try:
            messages = self._wire.read(now_s)
            if messages:
                self._take(now_s, messages)
            if now_s >= self.next_due_s:
                self._act(now_s)
        except LinkError as error:
            self._fail(now_s, error)
        if self._events:
            return self._deliver(now_s)
        self._answer(now_s)
        return ()

    def command(self, now_s: float, outputs: Outputs) -> None:
        """What this board's lamps, horn and gauges shall show; sent at once when it differs."""
        if outputs is self._outputs:
            return
        self._outputs = outputs
        self._values = values = self._plan.command_values(outputs)
        live = self._live
        if live is not None and live.want(values):
            self._send(now_s, live)

    @property
    def next_due_s(self) -> float:
        """When ``poll`` has something to do even if no byte comes, s."""
        if self._events:
            return _NOW
        if self._live is not None:
            return self._live.next_due_s
        due_s = self._due_s
        if self._setup is not None:
            due_s = self._setup.next_due_s
        elif self._greeting is not None:
            due_s = self._greeting.next_due_s
        if self._in_process and self._wire.is_open:
            # Nothing wakes the engine when a board in this process answers.
            due_s = min(due_s, self._last_poll_s + IN_PROCESS_LOOK_S)
        return due_s

    def fileno(self) -> int | None:
        """Descriptor to wait on; None when there is none."""
        return self._wire.fileno()

    def health(self) -> BoardHealth:
        """How the link is doing."""
        tally = self._tally.with_session(self._live)
        return BoardHealth(
            name=self.name,
            kind=self._entry.board,
            url=self._url,
            state=self._state,
            frames_received=self._wire.counts.good,
            frames_sent=self._wire.frames_sent,
            frame_errors=self._wire.counts.bad + tally.misfits,
            board_errors=tally.board_errors,
            round_trip_ms=tally.round_trip_ms,
            reconnects=tally.reconnects,
            edges_lost=tally.edges_lost,
            message=self._troubles.message,
        )

    def recent_frames(self) -> tuple[Frame, ...]:
        """The last frames both ways, oldest first, for a look at what went wrong."""
        return self._wire.recent()

    def release(self, clock: Clock) -> None:
        """Stop for good: the board's outputs go to idle, its port is closed.

        Waits at most ``RELEASE_WAIT_S`` for the board to answer.
        """
        if self._due_s == _NEVER:
            return
        # A board that is gone already goes to idle by its own time-out.
        with contextlib.suppress(LinkError):
            self._release_board(clock)
        self._close()
        if self._state is not LinkState.IDLE:
            self._enter(clock.now(), "link_stopped")
        self._events.clear()
        self._due_s = _NEVER

    def _deliver(self, now_s: float) -> Iterator[SessionEvent]:
        events, self._events = self._events, []
        yield from events
        self._answer(now_s)

    def _answer(self, now_s: float) -> None:
        live = self._live
        if live is not None and live.answer_due:
            self._send(now_s, live)

    def _send(self, now_s: float, live: LiveDialogue) -> None:
        try:
            self._wire.write(now_s, live.command(now_s))
        except LinkError as error:
            self._fail(now_s, error)

    # What is due

    def _act(self, now_s: float) -> None:
        came = self._wire.bytes_received > 0
        message: bytes | None = None
        if self._live is not None:
            message = self._live.message_due(now_s, bytes_came=came)
        elif self._setup is not None:
            message = self._setup.message_due(now_s)
        elif self._greeting is not None:
            message = self._greeting.message_due(now_s, bytes_came=came)
        elif self._opening is not None:
            self._look_at_opening(now_s, self._opening)
        elif now_s >= self._due_s:
            self._enter(now_s, "link_started" if self._state is LinkState.IDLE else "wait_ended")
            self._opening = self._opener(self._url, self._entry.baud)
            self._look_at_opening(now_s, self._opening)
        if message is not None:
            self._wire.write(now_s, message)

    def _look_at_opening(self, now_s: float, opening: Opening) -> None:
        result = opening.result()
        if result is None:
            self._due_s = now_s + OPENING_LOOK_S
            if now_s - self._since_s > HELLO_WAIT_S:
                self._troubles.message = "opening the port takes long: its other side is silent"
            return
        self._opening = None
        if isinstance(result, LinkError):
            raise result
        self._wire.attach(result)
        self._enter(now_s, "port_opened")
        resets = self._plan.board.resets_on_open and not self._in_process
        self._greeting = Greeting(now_s, self._where, resets_on_open=resets)

    # What the board says

    def _take(self, now_s: float, messages: list[bytes]) -> None:
        for message in messages:
            live = self._live
            if live is None or message[0] != _REPORT:
                self._take_other(now_s, message)
                continue
            event = live.take_report(now_s, message)
            if event is not None:
                if self._state is not LinkState.LIVE:
                    self._went_live(now_s)
                self._events.append(event)
            if live.notices_due:
                self._note(now_s, live)

    def _take_other(self, now_s: float, message: bytes) -> None:
        kind = message[0]
        try:
            if kind == MessageType.HELLO:
                self._take_hello(now_s, Hello.unpack(message))
            elif kind == MessageType.SETUP_REPLY:
                self._take_reply(now_s, SetupReply.unpack(message))
            elif kind != MessageType.REPORT:
                self._tally.misfits += 1
        except MessageError:
            self._tally.misfits += 1
        if self._greeting is not None:
            self._greeting.heard(now_s)

    def _take_hello(self, now_s: float, hello: Hello) -> None:
        known = self._hello
        if known is not None:
            same = hello.protocol == known.protocol and hello.boot_id == known.boot_id
            # A hello of the same boot is an answer to an earlier question, or late.
            if same and (self._live is None or hello.setup_checksum == self._plan.checksum):
                return
            self._note_reset(now_s)
        check_hello(hello, self._plan.board, self._where)
        self._hello = hello
        if self._greeting is not None:
            self._greeting = None
            self._enter(now_s, "hello_came")
        self._tally = self._tally.with_session(self._live)
        self._live = None
        # Another number for each set-up, and after each start of this program too.
        self._setups += 1
        self._session = (hello.boot_id + self._setups) % 255 + 1
        self._setup = SetupDialogue(self._plan, self._session, self._where)

    def _take_reply(self, now_s: float, reply: SetupReply) -> None:
        setup = self._setup
        if setup is None:
            return
        setup.take(reply)
        if setup.done:
            self._setup = None
            self._wire.mark()
            self._live = LiveDialogue(self._plan, self._session, now_s, self._where)
            self._live.want(self._values)

    def _note_reset(self, now_s: float) -> None:
        self._resets += 1
        if self._state is LinkState.LIVE:
            what = "the board was reset by itself"
            self._enter(now_s, "board_was_reset")
            self._events.append(BoardLost(what))
            self._tell(now_s, "board_was_reset", Level.CAUTION, f"{what}; {SUPPLY_HINT}")
        elif self._resets > SETUP_RESTARTS:
            raise keeps_resetting(self._where)

    def _went_live(self, now_s: float) -> None:
        self._enter(now_s, "set_up_done")
        self._troubles.over()
        self._back_off.reset()
        self._resets = 0
        if self._tally.was_live:
            self._tally.reconnects += 1
            self._tell(now_s, "board_reconnected", Level.INFO, "the board is back")
        else:
            self._tally.was_live = True
            self._tell(now_s, "board_connected", Level.INFO, "the board is live")

    def _note(self, now_s: float, live: LiveDialogue) -> None:
        live.notices_due = False
        if live.flags & ReportFlag.NOISY_CONTACT:
            text = "a contact bounces longer than its debounce_ms; raise it or replace the switch"
            self._tell(now_s, "contact_found_noisy", Level.CAUTION, text)
        if live.edges_lost or live.flags & ReportFlag.EDGES_LOST:
            text = "switches moved faster than the board could say; their positions are right"
            self._tell(now_s, "edges_lost", Level.CAUTION, text)

    def _tell(self, now_s: float, name: str, level: Level, text: str) -> None:
        happening = self._troubles.tell(now_s, name, level, text)
        if happening is not None:
            self._events.append(happening)

    # Ends

    def _fail(self, now_s: float, error: LinkError) -> None:
        state = self._state
        was_live = state is LinkState.LIVE
        if was_live:
            self._events.append(BoardLost(error.what))
        happening = self._troubles.failed(now_s, error, was_live=was_live)
        if happening is not None:
            self._events.append(happening)
        self._close()
        if isinstance(error, BoardRefused):
            self._due_s = now_s + BACK_OFF_CAP_S
            self._enter(now_s, "board_refused")
            return
        self._due_s = now_s + self._back_off.take_s()
        self._enter(now_s, "port_failed" if state is LinkState.OPENING else "link_was_lost")

    def _close(self) -> None:
        self._tally = self._tally.with_session(self._live)
        self._live = self._setup = self._greeting = self._hello = None
        if self._opening is not None:
            self._opening.abandon()
            self._opening = None
        self._wire.detach()

    def _release_board(self, clock: Clock) -> None:
        if self._setup is None and self._live is None:
            return
        wait = self._live is not None
        now_s = clock.now()
        half_s, end_s = now_s + RELEASE_WAIT_S / 2, now_s + RELEASE_WAIT_S
        self._wire.write(now_s, Release().pack())
        while wait and now_s < end_s:
            if any(message[0] == MessageType.HELLO for message in self._wire.read(now_s)):
                return
            clock.sleep_until(now_s + RELEASE_WAIT_S / 40)
            now_s = clock.now()
            if now_s >= half_s:
                half_s = _NEVER  # the first one may have been damaged on its way
                self._wire.write(now_s, Release().pack())

    def _enter(self, now_s: float, event: str) -> None:
        self._chart.send_event(event)
        self._state = self._chart.link_state
        self._since_s = now_s
