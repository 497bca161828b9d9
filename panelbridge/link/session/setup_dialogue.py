"""Sends the pin set-up, one message and one reply at a time."""

from __future__ import annotations

from itertools import accumulate

from panelbridge.errors import LinkLost, SetupRefused
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.wire import MessageType, SetupBegin, SetupCommit, SetupReply, SetupStatus
from panelbridge.link.wire.frames import crc16
from panelbridge.link.wire.time_outs import (
    REPLY_WAIT_S,
    REPORT_INTERVAL_MS,
    SETUP_RESTARTS,
    SETUP_TRIES,
)

_WHY = {
    SetupStatus.TOO_MANY_ITEMS: "the board takes fewer pins",
    SetupStatus.UNKNOWN_KIND: "the board's firmware does not know this kind of use",
    SetupStatus.NO_SUCH_PIN: "the board has no such pin or keeps it for itself",
    SetupStatus.PIN_IN_USE: "the pin is used already",
    SetupStatus.PIN_CANNOT: "the pin cannot do that",
    SetupStatus.BAD_VALUE: "a value is out of the board's range",
    SetupStatus.REPORT_TOO_LONG: "the report or the command would be too long for a frame",
}
_LOST_PLACE = (SetupStatus.BAD_ORDER, SetupStatus.BAD_CHECKSUM)


class SetupDialogue:
    """Brings one set-up into force.

    Send what ``message_due`` returns and pass each reply to ``take``, until ``done``.

    Args:
        plan: the set-up.
        session: number of the session, 1-255; a restart of the set-up keeps it.
        where: board and port, for messages.

    Attributes:
        next_due_s: when ``message_due`` next has something to do, s.
    """

    def __init__(self, plan: SetupPlan, session: int, where: str) -> None:
        self._plan = plan
        self._session = session
        self._where = where
        count, host_timeout_ms = len(plan.items), plan.entry.host_timeout_ms
        begin = SetupBegin(session, count, plan.checksum, host_timeout_ms, REPORT_INTERVAL_MS)
        self._messages = [
            begin.pack(),
            *(item.pack() for item in plan.items),
            SetupCommit(plan.checksum).pack(),
        ]
        bodies = accumulate((item.body() for item in plan.items), initial=b"")
        checksums = [crc16(body) for body in bodies]
        self._checksums = [*checksums, checksums[-1]]
        self._restarts = 0
        self._step = 0
        self._tries = 0
        self.next_due_s = -1.0

    @property
    def done(self) -> bool:
        """The board has taken the whole set-up."""
        return self._step == len(self._messages)

    def message_due(self, now_s: float) -> bytes | None:
        """The message to send now; None when a reply is awaited.

        Raises:
            LinkLost: the board has not answered the message that was sent ``SETUP_TRIES`` times.
        """
        if self.done or now_s < self.next_due_s:
            return None
        if self._tries == SETUP_TRIES:
            what = f"the board does not answer the set-up (at {self._step_name()})"
            hint = "check the cable; if that does not help, flash the sketch again"
            raise LinkLost(what, self._where, hint)
        self._tries += 1
        self.next_due_s = now_s + REPLY_WAIT_S
        return self._messages[self._step]

    def take(self, reply: SetupReply) -> None:
        """Take a reply; one to another message than the one under way is ignored.

        Raises:
            SetupRefused: the board does not take the set-up.
        """
        message = self._messages[self._step] if not self.done else b"\0\0"
        index = message[1] if message[0] == MessageType.SETUP_ITEM else 0
        if reply.answers != message[0] or reply.index != index:
            return
        if reply.status in _LOST_PLACE:
            # A board that was reset in between replies with session 0: accept any session.
            self._restart(reply.status == SetupStatus.BAD_CHECKSUM)
            return
        # A refused SETUP_BEGIN leaves the board without a session.
        refused = not self._step and not reply.session and reply.status != SetupStatus.OK
        if reply.session != self._session and not refused:
            return
        if reply.status != SetupStatus.OK:
            raise self._refused(reply.status)
        if reply.checksum != self._checksums[self._step]:
            self._restart(checksums_differ=True)
            return
        self._step += 1
        self._tries = 0
        self.next_due_s = -1.0 if not self.done else float("inf")

    def _restart(self, checksums_differ: bool) -> None:
        self._restarts += 1
        if self._restarts > SETUP_RESTARTS:
            if checksums_differ:
                what = "the board and this program do not agree on the set-up's checksum"
                hint = "flash the sketch that came with this version"
                raise SetupRefused(what, self._where, hint)
            what = "the board loses its place in the set-up repeatedly"
            hint = "check the cable, and that nothing else resets the board"
            raise LinkLost(what, self._where, hint)
        self._step = self._tries = 0
        self.next_due_s = -1.0

    def _step_name(self) -> str:
        if self._step == 0:
            return "the start of the set-up"
        if self._step > len(self._plan.items):
            return "the end of the set-up"
        return self._plan.labels[self._step - 1]

    def _refused(self, status: int) -> SetupRefused:
        known = status in SetupStatus.__members__.values()
        why = _WHY[SetupStatus(status)] if known else f"it answers with the unknown code {status}"
        what = f"the board refuses {self._step_name()}: {why}"
        return SetupRefused(what, self._where, "correct the panel file, then start again")
