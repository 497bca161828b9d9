"""A message that is tried by hand: sent once, and its answer reported."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from panelbridge.feeds.link.exchange import AnswerState
from panelbridge.feeds.link.outgoing import OutgoingMessage
from panelbridge.feeds.link.target import CommandTarget
from panelbridge.signals import Value


class TrialOutcome(NamedTuple):
    """What became of it.

    Attributes:
        is_good: it went out, and was obeyed where the file says how that is seen.
        text: what happened, for people.
    """

    is_good: bool
    text: str


class Trial:
    """Sends one message to its target; what is held does not end with it.

    Args:
        target: where it goes.
        message: what goes out.
        values: what it says.
    """

    def __init__(
        self, target: CommandTarget, message: OutgoingMessage, values: Mapping[str, Value]
    ) -> None:
        self.target, self.message, self._values = target, message, values
        self._sent: bytes | None = None

    def poll(self, now_s: float) -> TrialOutcome | None:
        """What became of it; None while that is not known."""
        exchange, transport = self.target.exchange, self.target.transport
        if self._sent is None:
            if not transport.health().is_open or (exchange is not None and not exchange.may_ask):
                return None
            return self._send(now_s)
        assert exchange is not None
        sent, answer = f"sent {_shown(self._sent)}", exchange.poll(now_s)
        if answer is AnswerState.OPEN:
            return None
        if answer is AnswerState.OBEYED:
            return TrialOutcome(True, f"{sent}, obeyed: {exchange.answer!r:.80}")
        if answer is AnswerState.REFUSED:
            return TrialOutcome(False, f"{sent}, refused by the simulator: {exchange.answer!r:.80}")
        return TrialOutcome(False, f"{sent}, no answer")

    def _send(self, now_s: float) -> TrialOutcome | None:
        filled = self.message.filled(self._values)
        assert filled is not None  # who tries it has given every value
        try:
            data = self.message.render(filled)
        except ValueError as error:
            return TrialOutcome(False, f"cannot be written: {error}")
        if not data:
            return TrialOutcome(False, "the feed file has no message for this word")
        if not self.target.transport.send(now_s, data, self.message.keys.topic or ""):
            return TrialOutcome(False, "could not be sent")
        self._sent = data
        if self.target.exchange is None:
            return TrialOutcome(True, f"sent {_shown(data)}")
        self.target.exchange.begin(now_s)
        return None


def _shown(data: bytes) -> str:
    text = data.decode("utf-8", "replace")
    if all(c.isprintable() or c in "\r\n\t" for c in text) and "\ufffd" not in text:
        return repr(text[:200])
    return data[:200].hex(" ")
