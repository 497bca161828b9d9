"""The board's hello after its port was opened, and its release before the port is closed."""

from __future__ import annotations

from math import inf

from panelbridge.clock import Clock
from panelbridge.config.boards import BOARDS, OTHER, Board, BoardCode
from panelbridge.errors import LinkLost, ProtocolMismatch, WrongBoard
from panelbridge.link.ports.frame_port import FramePort, Heard
from panelbridge.link.wire import PROTOCOL_VERSION, Hello, HelloRequest, MessageType, Release
from panelbridge.link.wire.time_outs import (
    HELLO_REQUEST_EACH_S,
    HELLO_WAIT_S,
    QUIET_AFTER_RESET_S,
    QUIET_S,
    RELEASE_WAIT_S,
)

_NO_HELLO = {
    Heard.NOTHING: (
        f"the board has not answered for {HELLO_WAIT_S:g} s, no byte has come",
        "is the sketch flashed, and is it the right port?",
    ),
    Heard.NOISE: (
        "bytes come but no frame",
        "is the right sketch flashed, is the baud rate the sketch's, and is it the right port?",
    ),
    Heard.FRAMES: (
        f"the board sends frames but has not answered for {HELLO_WAIT_S:g} s",
        "it does not hear this computer: unplug it and plug it in again, then check the cable",
    ),
}


class Greeting:
    """Requests the board's hello: not while a boot loader may listen, and only until a time-out.

    Args:
        now_s: when the port was opened, s.
        where: board and port, for messages.
        resets_on_open: opening has reset the board, so its boot loader may listen.
    """

    def __init__(self, now_s: float, where: str, *, resets_on_open: bool) -> None:
        self._where = where
        self._end_s = now_s + HELLO_WAIT_S
        self._ask_s = now_s + (QUIET_AFTER_RESET_S if resets_on_open else QUIET_S)
        self._frame_came = False

    @property
    def next_due_s(self) -> float:
        """When ``message_due`` next has something to do, s."""
        return min(self._ask_s, self._end_s)

    def frame_received(self, now_s: float) -> None:
        """A good frame other than a hello has come.

        It shows that no boot loader listens: the board was not reset and still reports to an
        earlier host. So the request may go out at once.
        """
        if not self._frame_came:
            self._frame_came = True
            self._ask_s = now_s

    def message_due(self, now_s: float, heard: Heard) -> bytes | None:
        """The message to send now, if any; ``heard`` is what has come since the port was opened.

        Raises:
            LinkLost: no hello has come for ``HELLO_WAIT_S``.
        """
        if now_s >= self._end_s:
            what, hint = _NO_HELLO[heard]
            raise LinkLost(what, self._where, hint)
        if now_s < self._ask_s:
            return None
        self._ask_s = now_s + HELLO_REQUEST_EACH_S
        return HelloRequest().pack()


def check_hello(hello: Hello, board: Board, where: str) -> None:
    """Check that the board is the one in the panel file.

    Raises:
        ProtocolMismatch: it has another protocol version.
        WrongBoard: it is of another kind.
    """
    if hello.protocol != PROTOCOL_VERSION:
        what = f"the board speaks version {hello.protocol} of the protocol, this program speaks"
        hint = "flash the sketch that came with this version of the program"
        raise ProtocolMismatch(f"{what} {PROTOCOL_VERSION}", where, hint)
    if hello.board_code != board.code:
        kinds = [kind for kind, other in BOARDS.items() if other.code == hello.board_code]
        own = f"of another kind (code {hello.board_code})"
        is_a = f"a {kinds[0]}" if kinds else own if hello.board_code >= BoardCode.OTHER else ""
        is_a = is_a or f"of an unknown kind ({hello.board_code})"
        said = f"{board.kind} with code {board.code}" if board.kind == OTHER else board.kind
        what = f"the board says that it is {is_a}, the panel file says {said}"
        hint = "correct 'board:' in the panel file, or the port: another board may be on it"
        raise WrongBoard(what, where, hint)


def release_board(port: FramePort, clock: Clock, *, await_answer: bool) -> None:
    """Bring the board's outputs to idle: send RELEASE, twice if the first one gets no answer.

    Args:
        port: the board's port.
        clock: real time.
        await_answer: wait for the board's hello, at most ``RELEASE_WAIT_S``.

    Raises:
        LinkLost: the port went away.
    """
    now_s = clock.now()
    half_s, end_s = now_s + RELEASE_WAIT_S / 2, now_s + RELEASE_WAIT_S
    port.write(now_s, Release().pack())
    while await_answer and now_s < end_s:
        if any(message[0] == MessageType.HELLO for message in port.read(now_s)):
            return
        clock.sleep_until(now_s + RELEASE_WAIT_S / 40)
        now_s = clock.now()
        if now_s >= half_s:
            half_s = inf  # the first one may have been damaged on its way
            port.write(now_s, Release().pack())
