"""The port adapter on real ports: pseudo-terminals, sockets, loop://."""

from __future__ import annotations

import errno
import os
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

import pytest
import serial

from panelbridge.clock import LiveClock, VirtualClock
from panelbridge.errors import LinkLost, PortBusy, PortMissing
from panelbridge.link.ports import BytePort, byte_port, open_port
from panelbridge.link.ports.serial_port import (
    UNSENT_LIMIT,
    WRITE_WAIT_S,
    DescriptorPort,
    InProcessPort,
)
from panelbridge.link.ports.threaded_port import ThreadedPort

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="there is no pseudo-terminal")


def until(condition: Callable[[], bool], wait_s: float = 5.0) -> None:
    """Wait for a real port's condition, within bounds."""
    clock = LiveClock()
    while not condition():
        assert clock.now() < wait_s, "the condition did not come"
        clock.sleep_until(clock.now() + 0.002)


def read_until(port: BytePort, count: int) -> bytes:
    data = bytearray()

    def enough() -> bool:
        data.extend(port.read())
        return len(data) >= count

    until(enough)
    return bytes(data)


def is_lost(port: BytePort) -> bool:
    try:
        port.read()
    except LinkLost:
        return True
    return False


@dataclass
class Pty:
    master: int
    slave: int
    name: str
    is_open: bool = True

    def hang_up(self) -> None:
        if self.is_open:
            self.is_open = False
            os.close(self.slave)
            os.close(self.master)


@pytest.fixture
def pty_pair() -> Iterator[Pty]:
    import pty
    import tty

    master, slave = pty.openpty()
    tty.setraw(master)
    pair = Pty(master, slave, os.ttyname(slave))
    yield pair
    pair.hang_up()


@pytest.fixture
def opened() -> Iterator[list[BytePort]]:
    """Ports that a test has opened: always closed at its end."""
    ports: list[BytePort] = []
    yield ports
    for port in ports:
        port.close()


both_ports = pytest.mark.parametrize("threaded", [False, True], ids=["descriptor", "thread"])


class Line:
    """Stands for the system's write: a line that takes as many bytes as the test sets."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.takes = 0
        self.taken = b""
        monkeypatch.setattr(os, "write", self._write)

    def _write(self, fd: int, data: bytes) -> int:
        if not self.takes:
            raise BlockingIOError
        self.taken += data[: self.takes]
        return min(self.takes, len(data))


@posix_only
class TestPty:
    @both_ports
    def test_bytes_go_both_ways(
        self, pty_pair: Pty, opened: list[BytePort], threaded: bool
    ) -> None:
        port = open_port(pty_pair.name, 250_000, threaded=threaded)
        opened.append(port)
        assert isinstance(port, ThreadedPort if threaded else DescriptorPort)
        assert (port.fileno() is None) == threaded
        assert port.read() == b""
        port.write(b"\x00\x11\x13\x03\n\r\xff")  # nothing is taken for a control character
        assert os.read(pty_pair.master, 100) == b"\x00\x11\x13\x03\n\r\xff"
        os.write(pty_pair.master, b"\x04\x00\r\n\x1a")
        assert read_until(port, 5) == b"\x04\x00\r\n\x1a"

    @both_ports
    def test_a_hung_up_line_is_lost(
        self, pty_pair: Pty, opened: list[BytePort], threaded: bool
    ) -> None:
        port = open_port(pty_pair.name, 250_000, threaded=threaded)
        opened.append(port)
        pty_pair.hang_up()
        until(lambda: is_lost(port))
        with pytest.raises(LinkLost, match="the port went away"):
            port.write(b"lamp")
        port.close()
        port.close()

    @both_ports
    def test_a_port_that_is_in_use_is_busy(
        self, pty_pair: Pty, opened: list[BytePort], threaded: bool
    ) -> None:
        opened.append(open_port(pty_pair.name, 115_200))
        with pytest.raises(PortBusy, match="another program holds the port") as caught:
            open_port(pty_pair.name, 115_200, threaded=threaded)
        assert caught.value.where == pty_pair.name
        assert "close it there" in caught.value.hint

    @both_ports
    def test_a_closed_port_can_be_opened_again(
        self, pty_pair: Pty, opened: list[BytePort], threaded: bool
    ) -> None:
        for _ in range(3):
            port = open_port(pty_pair.name, 250_000, threaded=threaded)
            port.write(b"x")
            assert os.read(pty_pair.master, 10) == b"x"
            port.close()
        opened.append(open_port(pty_pair.name, 250_000, threaded=not threaded))

    def test_what_the_other_side_does_not_take_waits_and_then_goes(
        self, pty_pair: Pty, opened: list[BytePort]
    ) -> None:
        port = open_port(pty_pair.name, 250_000)
        opened.append(port)
        sent = b""
        for number in range(6):  # more than the line holds
            part = bytes([number]) * 1000
            port.write(part)
            sent += part
        received = bytearray()

        def all_there() -> bool:
            received.extend(os.read(pty_pair.master, 500))
            port.read()  # also sends what waits
            return len(received) >= len(sent)

        until(all_there)
        assert bytes(received) == sent

    def test_a_side_that_takes_nothing_for_too_long_is_lost(
        self, pty_pair: Pty, opened: list[BytePort], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        clock = VirtualClock()
        port = open_port(pty_pair.name, 250_000, clock=clock)
        opened.append(port)
        line = Line(monkeypatch)
        clock.advance(100.0)
        port.write(b"lamps on")
        clock.advance(WRITE_WAIT_S)
        port.read()
        line.takes = 1
        port.read()  # one byte in that time is slow, not gone
        line.takes = 0
        clock.advance(WRITE_WAIT_S)
        port.read()
        clock.advance(0.01)
        with pytest.raises(LinkLost, match="takes no bytes"):
            port.read()
        assert line.taken == b"l"

    def test_bytes_that_wait_are_bounded(
        self, pty_pair: Pty, opened: list[BytePort], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        port = open_port(pty_pair.name, 250_000, clock=VirtualClock())
        opened.append(port)
        Line(monkeypatch)
        port.write(b"x" * UNSENT_LIMIT)
        with pytest.raises(LinkLost, match="takes no bytes"):
            port.write(b"x")

    def test_the_reader_thread_wakes_the_engine(
        self, pty_pair: Pty, opened: list[BytePort]
    ) -> None:
        woken = threading.Event()
        port = open_port(pty_pair.name, 250_000, threaded=True, wake=woken.set)
        opened.append(port)
        os.write(pty_pair.master, b"edge")
        assert woken.wait(5.0)
        assert read_until(port, 4) == b"edge"
        woken.clear()
        pty_pair.hang_up()
        assert woken.wait(5.0)

    def test_bytes_before_the_end_come_before_the_loss(
        self, pty_pair: Pty, opened: list[BytePort]
    ) -> None:
        port = open_port(pty_pair.name, 250_000, threaded=True)
        opened.append(port)
        assert isinstance(port, ThreadedPort)
        os.write(pty_pair.master, b"last words")
        until(lambda: not port._queue.empty())
        pty_pair.hang_up()
        until(lambda: port._lost is not None)
        assert read_until(port, 10) == b"last words"
        with pytest.raises(LinkLost):
            port.read()

    def test_no_thread_stays_behind(self, pty_pair: Pty) -> None:
        port = open_port(pty_pair.name, 250_000, threaded=True)
        assert any(t.name.startswith("panelbridge reader") for t in threading.enumerate())
        port.close()
        assert not any(t.name.startswith("panelbridge reader") for t in threading.enumerate())


class TestMissing:
    def test_a_name_that_is_no_port(self) -> None:
        with pytest.raises(PortMissing, match="there is no such port") as caught:
            open_port("/dev/tty_not_there", 250_000)
        assert caught.value.where == "/dev/tty_not_there"
        assert "plug the board in" in caught.value.hint

    @posix_only
    def test_a_file_that_is_no_serial_port(self) -> None:
        with pytest.raises(PortMissing, match="this is not a serial port"):
            open_port("/dev/null", 250_000)

    def test_an_unknown_scheme(self) -> None:
        with pytest.raises(PortMissing, match="kind of port is unknown") as caught:
            open_port("pigeon://loft", 250_000)
        assert "socket://host:port" in caught.value.hint

    def test_a_socket_without_a_listener(self) -> None:
        with socket.socket() as bound:
            bound.bind(("127.0.0.1", 0))
            url = f"socket://127.0.0.1:{bound.getsockname()[1]}"
            with pytest.raises(PortMissing, match="cannot be opened") as caught:
                open_port(url, 250_000)
        assert "its other side is running" in caught.value.hint

    @pytest.mark.parametrize(
        "url",
        [
            "socket://",
            "socket://x",
            "rfc2217://x",
            "socket://x:99999",
            "socket://x:no",
            "SOCKET://:5",
        ],
    )
    def test_a_url_without_its_parts(self, url: str) -> None:
        with pytest.raises(PortMissing, match="needs a host and a port from 1 to 65535") as caught:
            open_port(url, 250_000)
        assert "://HOST:PORT" in caught.value.hint


class TestSocket:
    @pytest.fixture
    def server(self) -> Iterator[socket.socket]:
        with socket.create_server(("127.0.0.1", 0)) as server:
            server.settimeout(5.0)
            yield server

    def test_bytes_and_a_peer_that_closes(
        self, server: socket.socket, opened: list[BytePort]
    ) -> None:
        port = open_port(f"socket://127.0.0.1:{server.getsockname()[1]}", 250_000)
        opened.append(port)
        assert isinstance(port, ThreadedPort)
        peer, _ = server.accept()
        with peer:
            peer.settimeout(5.0)
            port.write(b"command")
            assert peer.recv(100) == b"command"
            peer.sendall(bytes(range(256)) * 8)
            assert read_until(port, 2048) == bytes(range(256)) * 8
        until(lambda: is_lost(port))
        port.close()


def test_loop(opened: list[BytePort]) -> None:
    port = open_port("loop://", 250_000)
    opened.append(port)
    port.write(b"there and back")
    assert read_until(port, 14) == b"there and back"


# -- what cannot be had on this machine, scripted ---------------------------------------------


def scripted_port(**errors: Any) -> Any:
    """A pyserial port with scripted behaviour."""
    return ScriptedPort(**errors)


@dataclass
class ScriptedPort:
    read_error: Exception | None = None
    write_error: Exception | None = None
    close_error: Exception | None = None
    closed: threading.Event = field(default_factory=threading.Event)
    in_waiting: int = 0

    def read(self, size: int = 1) -> bytes:
        if self.read_error is not None:
            raise self.read_error
        self.closed.wait(0.001)
        return b""

    def write(self, data: bytes) -> int:
        if self.write_error is not None:
            raise self.write_error
        return len(data)

    def fileno(self) -> int:
        raise OSError("none")

    def close(self) -> None:
        self.closed.set()
        if self.close_error is not None:
            raise self.close_error


def termios_error() -> Exception:
    kind = type("error", (Exception,), {"__module__": "termios"})
    made = kind(5, "Input/output error")
    assert isinstance(made, Exception)
    return made


UNPLUGS = [
    serial.SerialException("ClearCommError failed (PermissionError(13, 'Access is denied.'))"),
    serial.SerialException("GetOverlappedResult failed (OSError(22, 'The device is gone'))"),
    serial.SerialTimeoutException("Write timeout"),
    serial.PortNotOpenError(),
    OSError(5, "Input/output error"),
    OSError(19, "No such device"),
    termios_error(),
    TypeError("'NoneType' object cannot be interpreted as an integer"),
    ValueError("file descriptor cannot be a negative integer (-1)"),
    AttributeError("'NoneType' object has no attribute 'hEvent'"),
]


@pytest.mark.parametrize("error", UNPLUGS, ids=lambda e: f"{type(e).__name__}: {e}"[:40])
class TestUnplug:
    def test_while_reading(self, error: Exception) -> None:
        port_of_script = scripted_port(read_error=error)
        port = ThreadedPort("COM5", port_of_script, None)
        until(lambda: is_lost(port))
        assert port_of_script.closed.is_set()  # by the reader thread
        port.close()

    def test_while_writing(self, error: Exception) -> None:
        port = ThreadedPort("COM5", scripted_port(write_error=error), None)
        with pytest.raises(LinkLost) as caught:
            port.write(b"lamp")
        assert "Errno" not in caught.value.what
        assert "Error(" not in caught.value.what
        assert caught.value.where == "COM5"
        assert "check the cable" in caught.value.hint
        port.close()

    def test_while_closing(self, error: Exception) -> None:
        port = ThreadedPort("COM5", scripted_port(close_error=error), None)
        port.close()
        assert not is_lost(port)  # we closed it, nothing was lost


def test_a_defect_is_not_an_unplug() -> None:
    port = ThreadedPort("COM5", scripted_port(write_error=ZeroDivisionError()), None)
    with pytest.raises(ZeroDivisionError):
        port.write(b"lamp")
    port.close()


def test_a_board_in_this_process_hides_no_defect() -> None:
    port = InProcessPort("simboard://x", scripted_port(write_error=TypeError("a bug")))
    with pytest.raises(TypeError):
        port.write(b"lamp")
    lost = InProcessPort(
        "simboard://x", scripted_port(write_error=serial.SerialException("unplugged"))
    )
    with pytest.raises(LinkLost, match="unplugged"):
        lost.write(b"lamp")


def opening_raises(monkeypatch: pytest.MonkeyPatch, error: Exception) -> list[dict[str, Any]]:
    asked = []

    def refuse(url: str, **options: Any) -> object:
        asked.append(options)
        raise error

    monkeypatch.setattr(serial, "serial_for_url", refuse)
    monkeypatch.setattr(byte_port, "_open_native", refuse)
    return asked


def test_opening_a_board_in_this_process_hides_no_defect(monkeypatch: pytest.MonkeyPatch) -> None:
    opening_raises(monkeypatch, TypeError("a bug"))
    with pytest.raises(TypeError):
        open_port("simboard://gear", 250_000)
    opening_raises(monkeypatch, serial.SerialException("no such board"))
    with pytest.raises(PortMissing, match="no such board"):
        open_port("simboard://gear", 250_000)


@pytest.mark.parametrize(
    ("error", "kind", "words"),
    [
        (
            serial.SerialException(
                "could not open port 'COM5': PermissionError(13, 'Access is denied.', None, 5)"
            ),
            PortBusy,
            "another program holds the port",
        ),
        (
            serial.SerialException(
                "could not open port 'COM5': PermissionError(13, 'Zugriff verweigert', None, 5)"
            ),
            PortBusy,
            "another program holds the port",
        ),
        (
            serial.SerialException(
                "could not open port 'COM5': FileNotFoundError(2, 'The system cannot find the"
                " file specified.', None, 2)"
            ),
            PortMissing,
            "there is no such port",
        ),
        (
            serial.SerialException(
                "could not open port 'COM5': OSError(22, 'The semaphore timeout period has"
                " expired.', None, 121)"
            ),
            PortMissing,
            "semaphore",
        ),
        (serial.SerialException(16, "could not open port: Device busy"), PortBusy, "holds"),
        (serial.SerialException(2, "could not open port"), PortMissing, "no such port"),
        (termios_error(), PortMissing, "cannot be opened"),
    ],
)
def test_why_a_port_does_not_open(
    monkeypatch: pytest.MonkeyPatch, error: Exception, kind: type[Exception], words: str
) -> None:
    opening_raises(monkeypatch, error)
    with pytest.raises(kind, match=words):
        open_port("COM5", 250_000)


def _from(error: Exception, text: str) -> Exception:
    """As pyserial raises it: a text, and the system's error behind it."""
    made = serial.SerialException(text)
    made.__context__ = error
    return made


class WindowsSocketError(OSError):
    """Its number is Windows' own: ``os.strerror`` does not know it."""

    winerror = 10055


REASONS: list[tuple[str, Exception, str]] = [
    (
        "socket://there:1",
        _from(WindowsSocketError(10055, "There is no room."), "Could not open port: ..."),
        "the port cannot be opened: There is no room",
    ),
    (
        "socket://there:1",
        OSError(errno.EADDRINUSE, "error while attempting to bind on address ('127.0.0.1', 1)"),
        "the port cannot be opened: another program listens there",
    ),
    (
        "socket://there:1",
        _from(ConnectionRefusedError(111, "refused"), "Could not open port: [Errno 111] refused"),
        "the port cannot be opened: no program listens there",
    ),
    (
        "socket://there:1",
        _from(socket.gaierror(-2, "unknown"), "Could not open port: [Errno -2] unknown"),
        "the port cannot be opened: its name is not known in this network",
    ),
    (
        "socket://there:1",
        _from(TimeoutError("timed out"), "Could not open port: timed out"),
        "the port cannot be opened: there is no answer",
    ),
    (
        "simboard://gear",
        serial.SerialException(errno.ENOENT, "the simulated board is unplugged"),
        "the port is not there: the simulated board is unplugged",
    ),
    (
        "COM5",
        serial.SerialException("could not open port 'COM5': OSError(22, 'Gone.', None, 121)"),
        "the port cannot be opened: Gone",
    ),
    (
        "COM5",
        serial.SerialException(errno.EIO, "could not open port: [Errno 5] Input/output error"),
        "the port cannot be opened: the device does not answer",
    ),
]


@pytest.mark.parametrize(("url", "error", "what"), REASONS, ids=lambda one: str(one)[:30])
def test_the_reason_is_in_words(
    monkeypatch: pytest.MonkeyPatch, url: str, error: Exception, what: str
) -> None:
    opening_raises(monkeypatch, error)
    with pytest.raises(PortMissing) as caught:
        open_port(url, 250_000)
    assert caught.value.what == what
    assert caught.value.hint


@posix_only
def test_no_permission_names_the_group(monkeypatch: pytest.MonkeyPatch) -> None:
    opening_raises(monkeypatch, serial.SerialException(13, "could not open port"))
    with pytest.raises(PortBusy, match="no permission") as caught:
        open_port("/dev/ttyACM0", 250_000)
    assert "dialout" in caught.value.hint


def test_native_ports_are_asked_for_alone_with_a_write_time_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = opening_raises(monkeypatch, serial.SerialException(2, "no"))
    for url in ("COM5", "socket://there:1"):
        with suppress(PortMissing):
            open_port(url, 250_000)
    assert asked[0]["exclusive"] is True
    assert "exclusive" not in asked[1]
    assert all(options["write_timeout"] == WRITE_WAIT_S for options in asked)
    assert all(options["baudrate"] == 250_000 for options in asked)


def test_a_speed_that_a_pseudo_terminal_refuses_is_given_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = opening_raises(monkeypatch, OSError(25, "Inappropriate ioctl for device"))
    with pytest.raises(PortMissing):
        open_port("/dev/ttys004", 250_000)
    assert [options["baudrate"] for options in asked] == [250_000, 115_200]


def test_the_hint_lists_the_ports_that_exist(monkeypatch: pytest.MonkeyPatch) -> None:
    from serial.tools import list_ports
    from serial.tools.list_ports_common import ListPortInfo

    board = ListPortInfo("COM7")
    board.description = "USB Serial"
    monkeypatch.setattr(list_ports, "comports", lambda: [board])
    with pytest.raises(PortMissing) as caught:
        open_port("/dev/tty_not_there", 250_000)
    assert caught.value.hint.endswith("name one of the ports that exist: COM7 (USB Serial)")
    monkeypatch.setattr(list_ports, "comports", list)
    with pytest.raises(PortMissing) as caught:
        open_port("/dev/tty_not_there", 250_000)
    assert "with a cable that carries data" in caught.value.hint
