"""Serial lines: opened when they are there, again when they come back."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from concurrent.futures import Future

import pytest

from panelbridge.config.links.transports import SerialLink
from panelbridge.errors import LinkError, LinkLost, PortMissing
from panelbridge.feeds.transports.serial_line import SerialLine
from panelbridge.link.ports import BytePort, Opening
from tests.feeds.transports.running import Running


class FakePort:
    """A port whose bytes come from a list; None is its loss."""

    def __init__(self, pieces: list[bytes | None]) -> None:
        self.pieces, self.written, self.closed = pieces, b"", 0

    def read(self) -> bytes:
        if not self.pieces:
            return b""
        piece = self.pieces.pop(0)
        if piece is None:
            raise LinkLost("the port went away", "COM5")
        return piece

    def write(self, data: bytes) -> None:
        if self.pieces and self.pieces[0] is None:
            raise LinkLost("the port went away", "COM5")
        self.written += data

    def close(self) -> None:
        self.closed += 1

    def fileno(self) -> int | None:
        return 7


class FakeOpener:
    """Hands out ports, and errors, in their order."""

    def __init__(self, *results: BytePort | LinkError) -> None:
        self.results, self.asked = list(results), list[tuple[str, int]]()

    def __call__(self, url: str, baud: int) -> Opening:
        self.asked.append((url, baud))
        future: Future[BytePort] = Future()
        result = self.results.pop(0)
        if isinstance(result, LinkError):
            future.set_exception(result)
        else:
            future.set_result(result)
        return Opening(future)


def a_line(*results: BytePort | LinkError) -> tuple[SerialLine, FakeOpener]:
    opener = FakeOpener(*results)
    return SerialLine(SerialLink(over="serial", port="COM5", baud=9600), opener), opener


def test_a_port_is_read_written_and_closed() -> None:
    port = FakePort([b"a,", b"1\n", b""])
    line, opener = a_line(port)
    line.open(0.0)
    assert opener.asked == [("COM5", 9600)]
    (arrival,) = line.read(0.0)
    assert (arrival.data, arrival.restarts) == (b"a,1\n", True)
    assert line.read(0.1) == ()
    assert line.filenos() == (7,)
    assert line.send(0.2, b"x")
    assert port.written == b"x"
    line.close()
    line.close()
    assert port.closed == 1
    assert line.filenos() == ()


def test_a_missing_port_is_tried_again_less_and_less_often() -> None:
    missing = [PortMissing("there is no such port", "COM5") for _ in range(4)]
    line, opener = a_line(*missing, FakePort([]))
    line.open(0.0)
    assert line.health().text == "not open: there is no such port"
    assert not line.send(0.0, b"x")
    tried = []
    for hundredth in range(1, 500):
        before = len(opener.asked)
        line.read(hundredth / 100)
        if len(opener.asked) > before:
            tried.append(hundredth / 100)
    assert tried == [0.25, 0.75, 1.75, 3.75]
    assert line.health().is_open


def test_a_lost_port_is_opened_again_and_begins_again() -> None:
    line, _ = a_line(first := FakePort([b"a", None]), second := FakePort([b"b"]))
    line.open(0.0)
    # What came before the loss is still read.
    assert [one.data for one in line.read(0.0)] == [b"a"]
    assert first.closed == 1
    assert line.health().text == "not open: the port went away"
    assert line.filenos() == ()
    (arrival,) = line.read(0.3)
    assert (arrival.data, arrival.restarts) == (b"b", True)
    assert line.health().connections == 2
    second.pieces.append(None)
    assert not line.send(0.4, b"late")
    assert second.written == b""
    assert line.health().dropped == {"nobody there to take it": 1}


@pytest.fixture
def cable() -> Iterator[tuple[int, str]]:
    """The simulator's end of a serial line, and the name of ours."""
    if sys.platform == "win32":
        pytest.skip("no pseudo-terminals")
    import pty
    import tty

    master, slave = pty.openpty()
    tty.setraw(slave)
    name = os.ttyname(slave)
    os.close(slave)
    yield master, name
    with contextlib.suppress(OSError):  # the test has hung up
        os.close(master)


def test_a_real_line_is_read_and_hang_up_is_seen(cable: tuple[int, str]) -> None:
    master, name = cable
    with Running("serial", port=name) as line:
        line.until_open()
        os.write(master, b"a,1\nb,2\n")
        line.until(lambda: b"".join(line.data) == b"a,1\nb,2\n")
        assert line.send(b"get\n")
        assert os.read(master, 10) == b"get\n"
        os.close(master)
        line.until(lambda: not line.transport.health().is_open)
        assert line.text.startswith("not open: the port went away")
