"""Opens ports and asks what is there: a board of ours, another firmware, nothing.

Only HELLO_REQUEST is sent, which changes nothing on a board (``PROTOCOL.md``, 4.1).
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from panelbridge.clock import Clock
from panelbridge.config.baud import DEFAULT_BAUD
from panelbridge.config.boards import BOARDS, BoardCode
from panelbridge.errors import LinkError
from panelbridge.link.port_list.panel_ports import BoardOfFile
from panelbridge.link.ports import Opener, Opening
from panelbridge.link.ports.frame_port import FramePort
from panelbridge.link.session.greeting import Greeting
from panelbridge.link.wire import PROTOCOL_VERSION, Hello, MessageType

OPENING_WAIT_S = 10.0
"""A port that is still being opened after this is given up, s."""
_TURN_S = 0.01


class Answer(Struct, frozen=True):
    """What there is at a port.

    Attributes:
        port: its name.
        is_board: a board that speaks this protocol.
        lines: in words; the first one says it, the others what to do.
    """

    port: str
    is_board: bool
    lines: tuple[str, ...]


class _Asked:
    """One port: it is opened, asked, and closed again."""

    def __init__(self, port: str, opening: Opening, now_s: float) -> None:
        self.port = port
        self._opening: Opening | None = opening
        self._open_until_s = now_s + OPENING_WAIT_S
        self._frames = FramePort()
        self._greeting: Greeting | None = None

    def turn(self, now_s: float) -> Hello | LinkError | None:
        """The hello, why there is none, or None while neither is known."""
        try:
            return self._turn(now_s)
        except LinkError as error:
            return error

    def _turn(self, now_s: float) -> Hello | LinkError | None:
        if self._greeting is None:
            opened = self._opening.result() if self._opening is not None else None
            if opened is None and now_s >= self._open_until_s:
                return LinkError(f"it has not opened for {OPENING_WAIT_S:g} s", self.port)
            if opened is None or isinstance(opened, LinkError):
                return opened
            self._opening = None
            self._frames.attach(opened)
            # What is there is not known, so a boot loader may listen.
            self._greeting = Greeting(now_s, self.port, resets_on_open=True)
        for message in self._frames.read(now_s):
            if message[0] == MessageType.HELLO:
                with contextlib.suppress(ValueError):
                    return Hello.unpack(message)
            self._greeting.frame_received(now_s)
        request = self._greeting.message_due(now_s, self._frames.heard_since())
        if request is not None:
            self._frames.write(now_s, request)
        return None

    def close(self) -> None:
        """Close the port, or give up its opening."""
        if self._opening is not None:
            self._opening.abandon()
        self._frames.detach()


def ask_ports(
    ports: Sequence[str],
    boards: Sequence[BoardOfFile],
    opener: Opener,
    clock: Clock,
    report: Callable[[Answer], None],
    baud: int | None = None,
) -> None:
    """Open all ``ports`` at once and report what each answers as soon as it is known.

    Args:
        ports: their names.
        boards: the boards of the panel files in reach.
        opener: starts to open a port.
        clock: real time.
        report: called with each answer.
        baud: speed of those that no panel file gives another one, bit/s.
    """
    now_s = clock.now()
    speeds = {port: baud or _speed_of(port, boards) for port in ports}
    open_ones = [_Asked(port, opener(port, speeds[port]), now_s) for port in speeds]
    try:
        while open_ones:
            now_s = clock.now()
            for asked in list(open_ones):
                found = asked.turn(now_s)
                if found is not None:
                    open_ones.remove(asked)
                    asked.close()
                    report(_answer(asked.port, found, boards, speeds))
            if open_ones:
                clock.sleep_until(now_s + _TURN_S)
    finally:
        for asked in open_ones:
            asked.close()


def _speed_of(port: str, boards: Sequence[BoardOfFile]) -> int:
    given = (board.baud for board in boards if board.is_on(port))
    return next((baud for baud in given if baud), DEFAULT_BAUD)


def _answer(
    port: str,
    found: Hello | LinkError,
    boards: Sequence[BoardOfFile],
    speeds: Mapping[str, int],
) -> Answer:
    if isinstance(found, LinkError):
        hint = found.hint.replace("the baud rate", f"{speeds[port]} bit/s")
        return Answer(port, False, (found.what, *([hint] if hint else [])))
    if found.protocol != PROTOCOL_VERSION:
        what = f"a board with version {found.protocol} of the protocol; this program has"
        return Answer(
            port,
            False,
            (f"{what} {PROTOCOL_VERSION}", "flash the firmware that came with this program"),
        )
    version = f"firmware {found.firmware_major}.{found.firmware_minor}"
    lines = [f"{kind_words(found.board_code)}, protocol {found.protocol}, {version}"]
    lines.append(f"takes {found.max_items} items; {_setup_words(found, boards)}")
    lines += [_match_words(found, board) for board in boards if board.is_on(port)]
    return Answer(port, True, tuple(lines))


def kind_words(code: int) -> str:
    """The kind of board that a HELLO names."""
    kinds = [kind for kind, board in BOARDS.items() if board.code == code]
    if kinds:
        return f"a board of kind {kinds[0]}"
    if code >= BoardCode.OTHER:
        return f"a board of another kind, 'board: other' with code {code}"
    return f"a board of an unknown kind ({code})"


def _setup_words(hello: Hello, boards: Sequence[BoardOfFile]) -> str:
    if not hello.setup_checksum:
        return "no set-up: no session runs on it"
    same = [board.words for board in boards if board.checksum() == hello.setup_checksum]
    of = f", that of {same[0]}" if same else ""
    return f"it still has the set-up 0x{hello.setup_checksum:04X} of a session{of}"


def _match_words(hello: Hello, board: BoardOfFile) -> str:
    if board.code is None:
        return board.words
    if board.code == hello.board_code:
        return f"it is the kind of {board.words}"
    return f"another kind than {board.words}: correct 'board:' there, or the port"
