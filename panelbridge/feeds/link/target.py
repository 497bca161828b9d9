"""A target: by which way messages go out, and when they may."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from panelbridge.feeds.feed import TargetHealth
from panelbridge.feeds.link.counts import Counts
from panelbridge.feeds.link.exchange import AnswerState, Exchange
from panelbridge.feeds.link.outgoing import Filled, OutgoingMessage
from panelbridge.feeds.transports.transport import Transport
from panelbridge.signals import GearPosition, Value


class CommandTarget:
    """Something that takes commands; nothing waits in it, so that nothing can come late.

    Args:
        name: its key in the feed file.
        transport: the way out.
        messages: what goes out.
        needs_data: it takes nothing while the data is not fresh, or panel and simulator disagree.
        exchange: how its answers are read; None when it gives none.
        retries: how often a message without the right answer is sent again.
        is_own: the transport belongs to it alone; else the receiver reads it.
        wall_clock: seconds since 1970.
    """

    def __init__(
        self,
        name: str,
        transport: Transport,
        messages: Sequence[OutgoingMessage],
        *,
        needs_data: bool,
        exchange: Exchange | None,
        retries: int,
        is_own: bool,
        wall_clock: Callable[[], float],
    ) -> None:
        self.name, self.transport, self.messages = name, transport, messages
        self.needs_data, self.exchange, self.is_own = needs_data, exchange, is_own
        self._retries, self._wall_clock = retries, wall_clock
        self.refused = Counts()
        self._sent_count = 0
        self._is_ready = False
        self._connections = 0
        self._seen: tuple[Mapping[str, Value], GearPosition | None] | None = None
        self._asked: OutgoingMessage | None = None
        self._tries = 0

    def poll(
        self,
        now_s: float,
        values: Mapping[str, Value],
        *,
        allowed: bool,
        simulator_handle: GearPosition | None,
    ) -> None:
        """Read answers; send what is due and may be sent."""
        if self.is_own:
            for arrival in self.transport.read(now_s):
                self.take_answer(arrival.data, restarts=arrival.restarts)
        health = self.transport.health()
        is_open = health.is_open
        if health.connections != self._connections:  # what was sent may be forgotten
            self._connections, self._is_ready = health.connections, False
        self._judge_answer(now_s)
        allowed = allowed or not self.needs_data
        if self._is_ready and not allowed:
            self.end(now_s)
        ready = allowed and is_open
        if ready and not self._is_ready:
            self._seen = None
            for message in self.messages:
                message.begin()
        if not is_open and self.exchange is not None:
            self.exchange.restart()
            self._asked = None
        self._is_ready = ready
        if ready:
            self._send_due(now_s, values, simulator_handle=simulator_handle)

    def take_answer(self, data: bytes, *, restarts: bool = False) -> bool:
        """Take bytes that may be an answer; whether one was waited for."""
        if self.exchange is None:
            return False
        if restarts:
            self.exchange.restart()
        is_waiting = not self.exchange.may_ask
        self.exchange.take(data)
        return is_waiting

    def _judge_answer(self, now_s: float) -> None:
        if self.exchange is None or self._asked is None:
            return
        state = self.exchange.poll(now_s)
        if state is AnswerState.OPEN:
            return
        message, self._asked = self._asked, None
        if state in (AnswerState.OBEYED, AnswerState.FREE):
            self._tries = 0
            return
        what = f"{message.name}: refused by the simulator"
        if state is AnswerState.SILENT:
            what = f"{message.name}: no answer"
        self.refused.add(what, self.exchange.answer[:80])
        self._tries += 1
        if self._tries <= self._retries:
            message.again()
        else:
            self._tries = 0

    def _send_due(
        self, now_s: float, values: Mapping[str, Value], *, simulator_handle: GearPosition | None
    ) -> None:
        seen = (values, simulator_handle)
        if self._seen is None or values is not self._seen[0] or simulator_handle != self._seen[1]:
            self._seen = seen
            for message in self.messages:
                message.notice(values, simulator_handle=simulator_handle)
        if self.exchange is None:
            for message in self.messages:
                self._send_if_due(now_s, message)
            return
        for message in sorted(self.messages, key=lambda one: one.sent_s):  # each has its turn
            if not self.exchange.may_ask:
                return
            if self._send_if_due(now_s, message):
                self._asked = message
                self.exchange.begin(now_s)

    def _send_if_due(self, now_s: float, message: OutgoingMessage) -> bool:
        """Whether something went out."""
        filled = message.due(now_s)
        if filled is None:
            return False
        before = self._sent_count
        if self._send(now_s, message, filled):
            message.sent(now_s, filled)
        else:
            message.tried(now_s)
        return self._sent_count > before

    def _send(self, now_s: float, message: OutgoingMessage, filled: Filled) -> bool:
        """False when it could not go out; a word without a message has nothing to send."""
        try:
            data = message.render(filled)
        except ValueError as error:
            self.refused.add(f"{message.name}: cannot be written", str(error))
            return False
        if data and not self.transport.send(now_s, data, message.keys.topic or ""):
            self.refused.add(f"{message.name}: could not be sent")
            return False
        self._sent_count += bool(data)
        return True

    def end(self, now_s: float) -> None:
        """End what is held, in the file's own words."""
        self._is_ready = False
        for message in self.messages:
            filled = message.last_words(self._wall_clock())
            if filled is not None:
                self._send(now_s, message, filled)

    def health(self) -> TargetHealth:
        """How it is, for screens."""
        health = self.transport.health()
        refused = self.refused.with_others([health.dropped] if self.is_own else [])
        return TargetHealth(
            self.name,
            health.is_open,
            self.transport.name,
            health.text,
            self._is_ready,
            self._sent_count,
            refused,
            self.refused.last,
        )
