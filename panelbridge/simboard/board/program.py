"""The program on the board: its dialogue with the host (``firmware_examples/PROTOCOL.md``).

It lasts from one reset to the next.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from msgspec.structs import replace

from panelbridge.config.boards import Board
from panelbridge.errors import MessageError
from panelbridge.link.wire import (
    Capture,
    Hello,
    HelloRequest,
    MessageType,
    Release,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
    SetupShape,
    SetupStatus,
)
from panelbridge.link.wire.frames import FrameParser
from panelbridge.link.wire.time_outs import BOARD_HELLO_EACH_MS
from panelbridge.simboard.board.chains import bit_names
from panelbridge.simboard.board.inputs import InputPins
from panelbridge.simboard.board.live_session import LiveSession
from panelbridge.simboard.board.outputs import OutputPins, OutputView
from panelbridge.simboard.board.setup_book import SetupBook
from panelbridge.simboard.board.wiring import Wiring

HELLO_INTERVAL_S = BOARD_HELLO_EACH_MS / 1000.0
_SHORTEST_COMMAND = SetupShape(0, 0, ()).command_length


class BoardProgram:
    """One run of the board's program; a reset makes a new one.

    Args:
        board: kind of board.
        identity: its HELLO without a set-up.
        wiring: what its pins are connected to.
        send: takes (time in s, message without CRC) for the host.
        on_message: called with each message that passes all checks and is acted upon.
        now_s: when the run starts; it sends HELLO at once.
    """

    def __init__(
        self,
        board: Board,
        identity: Hello,
        wiring: Wiring,
        send: Callable[[float, bytes], None],
        on_message: Callable[[bytes], None],
        now_s: float,
    ) -> None:
        self._identity = identity
        self._wiring = wiring
        self._send = send
        self._on_message = on_message
        self._pin_names = {pin.number: pin.name for pin in board.pins.values()}
        self._parser = FrameParser()
        self._malformed = 0
        self._book = SetupBook(board)
        self._live: LiveSession | None = None
        self._hello_due_s = now_s + HELLO_INTERVAL_S
        self._hello(now_s)

    @property
    def next_due_s(self) -> float:
        """Time of its next action without input, s."""
        return self._live.next_due_s if self._live else self._hello_due_s

    @property
    def bad_frames(self) -> int:
        """Number of bad frames in this run."""
        return self._parser.counts.bad + self._malformed

    def view(self) -> OutputView:
        """The outputs now."""
        return self._live.view() if self._live else OutputView()

    def do_next(self) -> None:
        """Do the next action that is due, at its own due time."""
        if self._live:
            self._live.do_next()
        else:
            due_s = self._hello_due_s
            self._hello_due_s += HELLO_INTERVAL_S
            self._hello(due_s)

    def pin_changed(self, now_s: float, pin_name: str) -> None:
        """The contact at a pin has opened or closed."""
        if self._live:
            self._live.pin_changed(now_s, pin_name)

    def voltage_changed(self, now_s: float) -> None:
        """The voltage at an analogue pin, or its noise, has changed."""
        if self._live:
            self._live.voltage_changed(now_s)

    def receive(self, now_s: float, data: bytes) -> None:
        """Handle bytes from the host; any bytes are allowed."""
        for message in self._parser.feed(data):
            try:
                if self._dispatch(now_s, message):
                    self._on_message(message)
            except MessageError:
                self._malformed += 1

    def _dispatch(self, now_s: float, message: bytes) -> bool:
        match message[0]:
            case MessageType.HELLO_REQUEST:
                HelloRequest.unpack(message)
                self._hello(now_s)
            case MessageType.SETUP_BEGIN:
                self._begin(now_s, SetupBegin.unpack(message))
            case MessageType.SETUP_ITEM:
                item = SetupItem.unpack(message)
                self._reply(now_s, MessageType.SETUP_ITEM, self._book.take(item), item.index)
            case MessageType.SETUP_COMMIT:
                self._commit(now_s, SetupCommit.unpack(message))
            case MessageType.COMMAND:
                return self._command(now_s, message)
            case MessageType.CAPTURE:
                return self._capture(now_s, message)
            case MessageType.RELEASE:
                Release.unpack(message)
                self._forget_setup(now_s)
                self._hello(now_s)
            case _:
                raise MessageError(f"message of the unknown type {message[0]:#04x}")
        return True

    def _begin(self, now_s: float, begin: SetupBegin) -> None:
        self._forget_setup(now_s)
        status = self._book.begin(begin)
        if status is SetupStatus.OK:
            self._hello_due_s = inf  # until the commit only on request
        self._reply(now_s, MessageType.SETUP_BEGIN, status)

    def _commit(self, now_s: float, commit: SetupCommit) -> None:
        status = self._book.commit(commit.checksum)
        self._reply(now_s, MessageType.SETUP_COMMIT, status)
        if self._live or status is not SetupStatus.OK:
            return
        items = self._book.items
        names = self._pin_names | bit_names(items, self._pin_names)
        inputs = [item for item in items if item.is_input]
        outputs = [item for item in items if item.is_output]
        self._live = LiveSession(
            self._book,
            InputPins(inputs, names, self._wiring, now_s),
            OutputPins(outputs, names, self._wiring, now_s),
            self._send,
            lambda: self.bad_frames,
            now_s,
        )
        self._live.report(now_s)

    def _command(self, now_s: float, message: bytes) -> bool:
        if len(message) < _SHORTEST_COMMAND:
            raise MessageError(f"COMMAND of {len(message)} bytes")
        if self._live is None or message[1] != self._book.session:
            return False  # from an earlier session, still on the line when this one began
        return self._live.command(now_s, message)

    def _capture(self, now_s: float, message: bytes) -> bool:
        order = Capture.unpack(message)
        if self._live is None or order.session != self._book.session:
            return False
        order.check(self._book.shape.contacts)
        self._live.capture(now_s, order)
        return True

    def _forget_setup(self, now_s: float) -> None:
        """Every pin becomes an input: nothing is driven until the next commit."""
        if self._live:
            self._live.outputs.let_go()
        self._live = None
        self._book.forget()
        self._hello_due_s = now_s + HELLO_INTERVAL_S

    def _hello(self, now_s: float) -> None:
        checksum = self._book.checksum if self._live else 0
        self._send(now_s, replace(self._identity, setup_checksum=checksum).pack())

    def _reply(
        self, now_s: float, answers: MessageType, status: SetupStatus, index: int = 0
    ) -> None:
        book = self._book
        reply = SetupReply(book.session, answers, index, status, book.checksum)
        self._send(now_s, reply.pack())
