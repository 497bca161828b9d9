"""The errors of a board that does not answer, stops, resets or is another one than expected."""

from __future__ import annotations

from panelbridge.config.boards import BOARDS, Board
from panelbridge.errors import LinkLost, ProtocolMismatch, WrongBoard
from panelbridge.link.wire import PROTOCOL_VERSION, Hello
from panelbridge.link.wire.time_outs import HELLO_WAIT_S, SILENCE_S

SUPPLY_HINT = "check its supply: lamps or servos may draw more than it can give"


def check_hello(hello: Hello, board: Board, where: str) -> None:
    """Check that the board is the one in the panel file.

    Raises:
        ProtocolMismatch: it has another protocol version.
        WrongBoard: it is of another kind.
    """
    if hello.protocol != PROTOCOL_VERSION:
        raise ProtocolMismatch(
            f"the board speaks version {hello.protocol} of the protocol, this program speaks"
            f" {PROTOCOL_VERSION}",
            where,
            "flash the sketch that came with this version of the program",
        )
    if hello.board_code != board.code:
        kinds = [kind for kind, other in BOARDS.items() if other.code == hello.board_code]
        is_a = f"a {kinds[0]}" if kinds else f"of an unknown kind ({hello.board_code})"
        raise WrongBoard(
            f"the board says that it is {is_a}, the panel file says {board.kind}",
            where,
            "correct 'board:' in the panel file, or the port: another board may be on it",
        )


def no_hello(where: str, *, bytes_came: bool) -> LinkLost:
    """The port is open but no hello comes."""
    if bytes_came:
        what = "bytes come but no frame"
        hint = "is the right sketch flashed, is the baud rate the sketch's, is it the right port?"
    else:
        what = f"the board has not answered for {HELLO_WAIT_S:g} s"
        hint = "is the sketch flashed, and is it the right port?"
    return LinkLost(what, where, hint)


def keeps_resetting(where: str) -> LinkLost:
    """The board resets repeatedly before its set-up is complete."""
    return LinkLost("the board resets again and again", where, SUPPLY_HINT)


def fell_silent(where: str, *, bytes_came: bool) -> LinkLost:
    """A live board's reports have stopped."""
    if bytes_came:
        what = f"bytes come but no good frame for {SILENCE_S:g} s"
    else:
        what = f"the board has been silent for {SILENCE_S:g} s"
    return LinkLost(what, where, "check the cable, and that the board has not lost its supply")
