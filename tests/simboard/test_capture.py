"""The simulated board's raw capture, where it can be exact."""

from __future__ import annotations

from panelbridge.link.wire import Capture, Captured
from panelbridge.link.wire.frames import FrameParser, encode_frame
from panelbridge.simboard.board.sim_board import SimBoard
from tests.simboard.host import PLAN, Plan, contact
from tests.simboard.test_core import set_up


def captured(board: SimBoard) -> list[tuple[float, Captured]]:
    return [
        (time_s, Captured.unpack(message))
        for time_s, frame in board.take_timed_output()
        for message in FrameParser().feed(frame)
        if message[0] == 0x84
    ]


def test_times_are_those_of_the_changes() -> None:
    board = SimBoard("uno")
    set_up(board, 1.0, timeout_ms=60_000)
    board.receive(1.0, encode_frame(Capture(1, 0, 20).pack()))
    changes = [(1.5, True), (1.50015, False), (1.5009, True), (1.519999, False), (1.52, True)]
    board.plan_contact(1.1, "D2", changes)
    board.advance(2.0)
    begins, seen = captured(board)
    assert begins == (1.0, Captured(1, 0, False, 0, 1))
    assert seen == (1.52, Captured(1, 0, True, 4, 1, (0, 150, 900, 19_999)))


def test_a_pin_that_floats_does_not_change() -> None:
    board = SimBoard("uno")
    set_up(board, 1.0, Plan((contact(0, 2, flags=0),)), timeout_ms=60_000)
    board.receive(1.0, encode_frame(Capture(1, 0, 20).pack()))
    board.plan_contact(1.1, "D2", [(1.5, True), (1.6, False)])
    board.advance(2.0)
    assert [message.changes for _, message in captured(board)] == [0]


def test_a_capture_ends_with_its_session() -> None:
    board = SimBoard("uno")
    set_up(board, 1.0, timeout_ms=60_000)
    board.receive(1.0, encode_frame(Capture(1, 0, 20).pack()))
    board.plan_contact(1.1, "D2", [(1.2, True)])
    board.advance(1.21)
    set_up(board, 1.21, PLAN, timeout_ms=60_000)
    board.advance(2.0)
    assert len(captured(board)) == 1
