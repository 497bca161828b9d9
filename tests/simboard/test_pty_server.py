"""The pty itself, for a host that sets up nothing and flushes nothing."""

from __future__ import annotations

import os
import sys

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.link.wire import Hello
from panelbridge.link.wire.frames import FrameParser, encode_frame
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.serving.pty_server import PtyServer

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminals")


def read_all(fileno: int) -> bytes:
    try:
        return os.read(fileno, 4096)
    except BlockingIOError:
        return b""


def test_a_raw_line_without_echo_and_without_old_bytes() -> None:
    clock = VirtualClock()
    # This boot id puts a line feed and a carriage return on the line, which a terminal changes.
    board = SimBoard("uno", boot_id=0x0D0A)
    server = PtyServer(Cable(board), clock)
    for _ in range(4):  # hellos without a host
        clock.advance(0.5)
        server.step()
    assert server.filenos == []  # no host: it would not block
    host = os.open(server.path, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
    server.step()
    assert len(server.filenos) == 1
    assert read_all(host) == b""
    os.write(host, encode_frame(b"\x01\x01"))
    server.step()
    data = read_all(host)
    (message,) = FrameParser().feed(data)
    assert data == encode_frame(message)
    assert Hello.unpack(message).boot_id == 0x0D0A
    server.step()
    assert board.bad_frames == 0  # it has not heard itself
    os.close(host)
    server.step()
    assert server.filenos == []
    server.close()
    server.close()
    assert server.path == ""
    assert board.powered


def test_a_host_that_does_not_read_loses_bytes_and_stops_nothing() -> None:
    clock = VirtualClock()
    server = PtyServer(Cable(SimBoard("uno")), clock)
    host = os.open(server.path, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
    server.step()
    for _ in range(20_000):
        clock.advance(0.5)
        server.step()
    assert len(server.filenos) == 1
    os.close(host)
    server.close()
