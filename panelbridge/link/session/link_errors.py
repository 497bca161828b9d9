"""What is said when a link does not work: the first time loud, while it lasts quiet."""

from __future__ import annotations

from panelbridge.config.boards import BOARDS, Board
from panelbridge.errors import (
    BoardRefused,
    LinkError,
    LinkLost,
    PortBusy,
    PortMissing,
    ProtocolMismatch,
    WrongBoard,
)
from panelbridge.link.session.link_events import link_event
from panelbridge.link.session.session_outputs import BoardLost, SessionOutput
from panelbridge.link.wire import PROTOCOL_VERSION, Hello, ReportFlag
from panelbridge.link.wire.time_outs import HELLO_WAIT_S, SILENCE_S

SUPPLY_HINT = "check its supply: lamps or servos may draw more than it can give"


class Troubles:
    """Turns what happens to one board's link into events; says each thing once until it is live.

    Args:
        name: the board's name in the panel file.
        url: its port.

    Attributes:
        message: why the board is not live and what to do; empty when it is.
    """

    def __init__(self, name: str, url: str) -> None:
        self._name = name
        self._url = url
        self._told: set[str] = set()
        self.message = ""

    def failed(self, now_s: float, error: LinkError, *, was_live: bool) -> list[SessionOutput]:
        """The link has failed."""
        self.message = f"{error.what}; {error.hint}" if error.hint else error.what
        events: list[SessionOutput] = [BoardLost(error.what)] if was_live else []
        name = _event_name(error, was_live=was_live)
        if name == "port_missed" and "board_lost" in self._told:
            return events  # a port that went away is missing: that is no news
        return events + self._tell(now_s, name, self.message)

    def was_reset(self, now_s: float) -> list[SessionOutput]:
        """The board was live and has started anew."""
        what = "the board was reset by itself"
        return [BoardLost(what), *self._tell(now_s, "board_was_reset", f"{what}; {SUPPLY_HINT}")]

    def over(self, now_s: float, *, again: bool) -> list[SessionOutput]:
        """The board is live, perhaps once again: the next failure is loud again."""
        self._told.clear()
        self.message = ""
        return self._tell(now_s, "board_reconnected" if again else "board_connected")

    def noticed(self, now_s: float, flags: int, edges_lost: int) -> list[SessionOutput]:
        """A live board's ``ReportFlag`` bits, or the number of its lost edges, have changed."""
        events: list[SessionOutput] = []
        if flags & ReportFlag.NOISY_CONTACT:
            events += self._tell(now_s, "contact_found_noisy")
        if edges_lost or flags & ReportFlag.EDGES_LOST:
            events += self._tell(now_s, "edges_lost")
        return events

    def _tell(self, now_s: float, name: str, trouble: str = "") -> list[SessionOutput]:
        if name in self._told:
            return []
        self._told.add(name)
        return [link_event(now_s, name, self._name, self._url, trouble)]


def _event_name(error: LinkError, *, was_live: bool) -> str:
    if isinstance(error, PortMissing):
        return "port_missed"
    if isinstance(error, PortBusy):
        return "port_found_busy"
    if isinstance(error, BoardRefused):
        return "board_refused"
    return "board_lost" if was_live else "board_not_heard"


def check_hello(hello: Hello, board: Board, where: str) -> None:
    """Raise unless the board is what the panel file says.

    Raises:
        ProtocolMismatch: it speaks another version.
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
    """The port is open and the board does not say hello."""
    if bytes_came:
        return LinkLost(
            "bytes come but no frame",
            where,
            "is the right sketch flashed, is the baud rate the sketch's, is it the right port?",
        )
    return LinkLost(
        f"the board has not answered for {HELLO_WAIT_S:g} s",
        where,
        "is the sketch flashed, and is it the right port?",
    )


def keeps_resetting(where: str) -> LinkLost:
    """The board resets before its set-up is through, again and again."""
    return LinkLost("the board resets again and again", where, SUPPLY_HINT)


def fell_silent(where: str, *, bytes_came: bool) -> LinkLost:
    """A live board's reports have stopped."""
    if bytes_came:
        what = f"bytes come but no good frame for {SILENCE_S:g} s"
    else:
        what = f"the board has been silent for {SILENCE_S:g} s"
    return LinkLost(what, where, "check the cable, and that the board has not lost its supply")
