"""Listens in on the way to a board: which outputs it has accepted.

A board names in every REPORT the last COMMAND that it took; the outputs of that COMMAND are what
its lamps and its horn do now.
"""

from __future__ import annotations

from panelbridge.errors import LinkError, MessageError
from panelbridge.link.frames import FrameParser
from panelbridge.link.messages import Command, MessageType, Report
from panelbridge.link.opener import Opener, Opening
from panelbridge.link.port import BytePort
from panelbridge.link.setup_plan import SetupPlan

_KEPT = 256
"""COMMANDs that a board may still name; it names one within a few."""


class BoardTap:
    """What one board has accepted.

    Args:
        plan: the board's set-up.
        opener: opens its port.
    """

    def __init__(self, plan: SetupPlan, opener: Opener) -> None:
        self._plan = plan
        self._opener = opener
        self._sent: dict[tuple[int, int], tuple[int, ...]] = {}
        self._to_board = FrameParser()
        self._from_board = FrameParser()
        self._accepted = plan.idle_values

    @property
    def outputs(self) -> dict[str, int]:
        """What each output does: brightness of lamps, number of the horn's pattern, pulses."""
        return dict(zip(self._plan.outputs, self._accepted, strict=True))

    def idle(self) -> None:
        """The board is not live: nothing that was accepted counts any more."""
        self._accepted = self._plan.idle_values

    def __call__(self, url: str, baud: int) -> Opening:
        """Open the port, listening."""
        return _TappedOpening(self, self._opener(url, baud))

    def sent(self, data: bytes) -> None:
        """Bytes to the board."""
        for message in self._to_board.feed(data):
            if message[0] == MessageType.COMMAND:
                command = Command.unpack(message, self._plan.shape)
                self._sent[command.session, command.sequence] = command.outputs
                if len(self._sent) > _KEPT:
                    del self._sent[next(iter(self._sent))]

    def came(self, data: bytes) -> None:
        """Bytes from the board."""
        for message in self._from_board.feed(data):
            if message[0] == MessageType.REPORT:
                try:
                    report = Report.unpack(message, self._plan.shape)
                except MessageError:
                    continue  # the link counts it
                named = report.session, report.command_sequence
                self._accepted = self._sent.get(named, self._accepted)


class _TappedOpening:
    def __init__(self, tap: BoardTap, opening: Opening) -> None:
        self._tap = tap
        self._opening = opening
        self._port: BytePort | None = None

    def result(self) -> BytePort | LinkError | None:
        found = self._opening.result()
        if found is None or isinstance(found, LinkError):
            return found
        if self._port is None:
            self._port = _TappedPort(self._tap, found)
        return self._port

    def abandon(self) -> None:
        self._opening.abandon()


class _TappedPort:
    def __init__(self, tap: BoardTap, port: BytePort) -> None:
        self._tap = tap
        self._port = port

    def read(self) -> bytes:
        data = self._port.read()
        if data:
            self._tap.came(data)
        return data

    def write(self, data: bytes) -> None:
        self._tap.sent(data)
        self._port.write(data)

    def close(self) -> None:
        self._port.close()

    def fileno(self) -> int | None:
        return self._port.fileno()
