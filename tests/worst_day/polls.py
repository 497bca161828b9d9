"""Made-up messages for a simulated board, in virtual time: any bytes may come."""

from __future__ import annotations

import random
from collections.abc import Iterator

from panelbridge.errors import MessageError
from panelbridge.link.wire import (
    Captured,
    Hello,
    HelloRequest,
    MessageType,
    Report,
    SetupBegin,
    SetupCommit,
    SetupReply,
)
from panelbridge.link.wire.frames import MAX_MESSAGE, FrameParser, encode_frame
from panelbridge.simboard.board.sim_board import SimBoard
from tests.simboard.host import PLAN
from tests.worst_day.attack import Case, Ground, Lost, Survived

_ROUND = 2_000
_FROM_HOST = (
    *(MessageType.HELLO_REQUEST, MessageType.SETUP_BEGIN, MessageType.SETUP_ITEM),
    *(MessageType.SETUP_COMMIT, MessageType.COMMAND, MessageType.CAPTURE, MessageType.RELEASE),
)
_SETUP = (
    SetupBegin(5, len(PLAN.items), PLAN.checksum, 300, 100).pack(),
    *(item.pack() for item in PLAN.items),
    SetupCommit(PLAN.checksum).pack(),
)


class _Fuzzer:
    """Messages near the right ones, and far from them."""

    def __init__(self, rng: random.Random) -> None:
        self._rng = rng
        self._good = [*_SETUP, HelloRequest().pack()]

    def bytes(self) -> bytes:
        """What comes over the line at once."""
        rng = self._rng
        kind = rng.randrange(5)
        if kind == 0:
            return rng.randbytes(rng.randrange(64))
        if kind == 1:
            head = bytes((rng.choice(_FROM_HOST), rng.choice((5, rng.randrange(256)))))
            return encode_frame(head + rng.randbytes(rng.randrange(40)))
        message = bytearray(rng.choice(self._good))
        if kind == 2:
            for _ in range(rng.randint(1, 3)):
                message[rng.randrange(len(message))] = rng.randrange(256)
        elif kind == 3:
            del message[rng.randint(1, len(message)) :]
        return encode_frame(bytes(message))


def _fuzz_board(ground: Ground) -> Iterator[Survived]:
    rng = ground.rng()
    fuzzer = _Fuzzer(rng)
    sent: list[bytes] = []
    board = SimBoard("uno", on_send=sent.append)
    now_s = 0.0
    left = ground.times
    while left > 0:
        polls = min(_ROUND, left)
        left -= polls
        for _ in range(polls):
            now_s += rng.choice((0.0, 0.001, 0.02))
            data = fuzzer.bytes()
            try:
                board.receive(now_s, data)
            except Exception as error:
                raise Lost(f"{type(error).__name__} of {data.hex(' ')}: {error}") from error
            if any(len(message) + 2 > MAX_MESSAGE for message in sent):
                raise Lost(f"a message too long after {data.hex(' ')}")
            sent.clear()
            board.take_output()
        now_s += 1.0
        _is_set_up_after_all(board, now_s)
        sent.clear()
        yield Survived(polls)


def _is_set_up_after_all(board: SimBoard, now_s: float) -> None:
    """The board takes a proper set-up, and reports. Raises: Lost."""
    board.receive(now_s, b"\0")
    board.take_output()
    for message in _SETUP:
        board.receive(now_s, encode_frame(message))
    board.set_contact(now_s, "D2", True)
    board.advance(now_s + 0.2)
    answers = FrameParser().feed(board.take_output())
    try:
        replies = [SetupReply.unpack(m) for m in answers if m[0] == MessageType.SETUP_REPLY]
        reports = [Report.unpack(m, PLAN.shape) for m in answers if m[0] == MessageType.REPORT]
        for message in answers:
            if message[0] == MessageType.HELLO:
                Hello.unpack(message)
            elif message[0] == MessageType.CAPTURED:
                Captured.unpack(message)
    except MessageError as error:
        raise Lost(f"the board sends nonsense: {error}") from error
    if len(replies) != len(_SETUP) or any(reply.status for reply in replies):
        raise Lost(f"the board cannot be set up any more: {replies}")
    if not reports or not reports[-1].contacts & 1:
        raise Lost("the board does not report its contact")
    board.set_contact(now_s + 0.3, "D2", False)


POLLS: dict[str, Case] = {"simulated board": _fuzz_board}
