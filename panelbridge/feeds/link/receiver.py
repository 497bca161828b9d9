"""Bytes in, fields out: a transport, what cuts its stream up, and what reads its messages."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from panelbridge.config.links.link_feed import LinkAsk
from panelbridge.feeds.formats.format import Format, Framing, Raw, Refused
from panelbridge.feeds.link.counts import Counts
from panelbridge.feeds.transports.transport import Transport

RETAINED = "kept by the broker from before"


class Receiver:
    """What comes from a simulator.

    Args:
        transport: the way in.
        framing: cuts a stream up; None where each arrival is a message.
        format_: reads a message.
        refused: takes what cannot be read.
        ask: what the simulator is asked for; None when it sends by itself.
    """

    def __init__(
        self,
        transport: Transport,
        framing: Framing | None,
        format_: Format,
        refused: Counts,
        ask: LinkAsk | None = None,
    ) -> None:
        self.transport, self.format = transport, format_
        self._framing, self._refused, self._ask = framing, refused, ask
        self._next_ask_s = 0.0
        self._prompt = b"" if ask is None or ask.prompt is None else ask.prompt.encode()
        self.messages = 0
        self.is_answer: Callable[[bytes], bool] | None = None
        """Takes a message that is no data; whether it is an answer to a command."""
        self.restarts = 0
        """How often the stream has begun again."""
        self.last_message = b""

    def poll(self, now_s: float) -> Iterator[Mapping[object, Raw]]:
        """The fields of each message that has come; asks for more."""
        for arrival in self.transport.read(now_s):
            if arrival.is_retained:
                self._refused.add(RETAINED, arrival.topic)
                continue
            self.restarts += arrival.restarts
            messages = [arrival.data]
            if self._framing is not None:
                if arrival.restarts:
                    self._framing.reset()
                messages = self._framing.feed(arrival.data)
            for message in messages:
                yield self._read(message, arrival.topic)
        if self._ask is not None and now_s >= self._next_ask_s:
            self._next_ask_s = now_s + self._ask.every_s
            self.transport.send(now_s, self._ask.text.encode())

    def _read(self, message: bytes, topic: str) -> Mapping[object, Raw]:
        self.messages += 1
        self.last_message = message
        if self._prompt:
            message = message.rpartition(self._prompt)[2]
        try:
            return self.format.decode(message, topic)
        except Refused as refused:
            if self.is_answer is None or not self.is_answer(message):
                self._refused.add(refused.reason, refused.detail)
            return {}

    def counted(self) -> Iterator[Mapping[str, int]]:
        """What others have counted."""
        yield self.format.skipped
        yield self.transport.health().dropped
        if self._framing is not None:
            yield self._framing.refused
