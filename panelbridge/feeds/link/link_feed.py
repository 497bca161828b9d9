"""The feed that a link makes: aircraft state from a simulator, commands to it and to others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from panelbridge.feeds.feed import Feed, FeedHealth, FeedReading
from panelbridge.feeds.link.counts import Counts
from panelbridge.feeds.link.receiver import Receiver
from panelbridge.feeds.link.sent_values import SentValues
from panelbridge.feeds.link.target import CommandTarget
from panelbridge.feeds.link.value_table import ValueTable
from panelbridge.feeds.transports.transport import Transport
from panelbridge.signals import AircraftState, Commands

_NOTHING = AircraftState()


class LinkFeed(Feed):
    """A link at work.

    While no data is fresh nothing is sent to a target that needs data; when it is back the logic is
    asked first. So nothing old is sent, and a simulator that was started again meets a panel that
    waits for agreement.

    Args:
        name: for screens.
        receiver: what comes; None when this feed only sends.
        values: what is read of it.
        targets: what takes commands.
        sent_values: what messages may name.
        refused: counts what cannot be read.
        stale_after_s: age of the last message above which no data is fresh, s.
        is_whole: each message has every value.
        needs_agreement: the panel has a gear handle, which must agree before anything is sent.
        warnings: who else may reach it.
    """

    def __init__(
        self,
        name: str,
        receiver: Receiver | None,
        values: ValueTable,
        targets: Sequence[CommandTarget],
        sent_values: SentValues,
        refused: Counts,
        *,
        stale_after_s: float,
        is_whole: bool,
        needs_agreement: bool,
        warnings: Sequence[str] = (),
    ) -> None:
        self.name = name
        self.receiver, self.values, self.targets = receiver, values, targets
        self._sent_values, self._refused = sent_values, refused
        self._stale_after_s, self._is_whole = stale_after_s, is_whole
        self._needs_agreement = needs_agreement
        self._warnings = tuple(warnings)
        self._read_s = -inf
        self._polled_s = inf
        self._commands: Commands | None = None
        self._was_fresh = False
        self._is_answered = False
        self._has_agreed = False
        self._is_closed = False
        self._shared = [target for target in targets if not target.is_own]
        self._restarts = 0
        if receiver is not None and self._shared:
            receiver.is_answer = self._is_answer

    def open(self, now_s: float) -> None:
        """Open every transport. Raises: FeedError; what was open is closed then."""
        opened = []
        try:
            for transport in self._transports():
                opened.append(transport)
                transport.open(now_s)
        except BaseException:
            for transport in opened:
                transport.close()
            raise

    def _transports(self) -> Iterator[Transport]:
        if self.receiver is not None:
            yield self.receiver.transport
        for target in self.targets:
            if target.is_own:
                yield target.transport

    def poll(self, now_s: float) -> int:
        """Take every message; send what is due."""
        count = self._receive(now_s)
        self._push(now_s)
        return count

    def _receive(self, now_s: float) -> int:
        if self.receiver is None:
            return 0
        count = 0
        if now_s - self._polled_s > self._stale_after_s:
            # This computer stood still: what waited is as old as that, whenever it is read.
            for _ in self.receiver.poll(now_s):
                count += 1
                self._refused.add("from before a standstill")
            self._polled_s = now_s
            return count
        self._polled_s = now_s
        newest = None
        for fields in self.receiver.poll(now_s):
            count += 1
            if self._is_whole:  # what came before the newest is superseded
                newest = fields or newest
            elif self.values.take(fields, now_s, is_whole=False):
                self._read_s = now_s
        if newest is not None and self.values.take(newest, now_s, is_whole=True):
            self._read_s = now_s
        return count

    def _is_answer(self, message: bytes) -> bool:
        """Whether a message that is no data is an answer that a target waits for."""
        assert self.receiver is not None
        again, self._restarts = self.receiver.restarts != self._restarts, self.receiver.restarts
        # The line end was cut off with the framing.
        line = message + b"\n"
        waited = [target.take_answer(line, restarts=again) for target in self._shared]
        return any(waited)

    def is_fresh(self, now_s: float) -> bool:
        """Data can be trusted."""
        return now_s - self._read_s <= self._stale_after_s

    def read(self, now_s: float) -> FeedReading:
        """The newest state; unknown when it is stale, value by value and as a whole."""
        if not self.is_fresh(now_s):
            return FeedReading(time_s=now_s if self._read_s == -inf else self._read_s)
        return FeedReading(self.values.state(now_s), True, self._read_s)

    def send(self, now_s: float, commands: Commands) -> None:
        """Take the commands; what may be sent goes out at once."""
        self._commands = commands
        self._is_answered = True
        self._push(now_s)

    def _push(self, now_s: float) -> None:
        is_fresh = self.is_fresh(now_s)
        if not is_fresh:
            if self._was_fresh:  # what comes first afterwards may come from another run of it
                self.values.forget("too old")
            self._is_answered = self._has_agreed = False
        self._was_fresh = is_fresh
        commands = self._commands
        if self._is_answered and commands is not None and commands.gear is not None:
            self._has_agreed = True
        state = self.values.state(now_s) if is_fresh else _NOTHING
        values = self._sent_values.of(commands, state)
        allowed = self._is_answered and (self._has_agreed or not self._needs_agreement)
        for target in self.targets:
            target.poll(
                now_s,
                values,
                allowed=allowed or self.receiver is None,
                simulator_handle=state.gear_handle,
            )

    def restart(self, now_s: float) -> None:
        """Nothing: a simulator is started by its own means."""

    def filenos(self) -> Sequence[int]:
        """Those of every transport."""
        return [fileno for transport in self._transports() for fileno in transport.filenos()]

    def health(self) -> FeedHealth:
        """Transports, counts and values."""
        targets = tuple([target.health() for target in self.targets])
        receiver = self.receiver
        if receiver is None:
            return FeedHealth(
                text="no data comes by this feed", targets=targets, warnings=self._warnings
            )
        health = receiver.transport.health()
        return FeedHealth(
            health.is_open,
            receiver.transport.name,
            health.text,
            receiver.messages,
            self._refused.with_others(receiver.counted()),
            self._refused.last,
            {one.name: one.why for one in self.values.values if one.value is None},
            targets,
            self._warnings,
        )

    def close(self, now_s: float) -> None:
        """End what is held, then close every transport."""
        if self._is_closed:
            return
        self._is_closed = True
        for target in self.targets:
            target.end(now_s)
        for transport in self._transports():
            transport.close()
