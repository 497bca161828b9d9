"""The host in perl that was written from ``PROTOCOL.md`` alone, against both sketches.

The large sketch's core and the minimal sketch are compiled for this machine and reached over TCP;
the Uno's binaries run in the simulator, over a pty.
"""

from __future__ import annotations

import contextlib
import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from panelbridge.clock import PacedClock
from tests.firmware.build import MINIMAL, SKETCH, native_minimal
from tests.firmware.live import LiveBoard
from tests.firmware.machines import NativeBench
from tests.link.perl import Perl

pytestmark = pytest.mark.skipif(shutil.which("perl") is None, reason="needs perl")


class TcpBoard:
    """A bench behind a TCP port, in a thread that lets its time pass."""

    def __init__(self, bench: NativeBench) -> None:
        self.bench = bench
        self._server = socket.create_server(("127.0.0.1", 0))
        self.port = str(self._server.getsockname()[1])
        self._lock = threading.Lock()
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        clock = PacedClock()
        host, _ = self._server.accept()
        with host, contextlib.suppress(OSError):
            host.setblocking(False)
            while not self._ended.is_set():
                clock.sleep_until(clock.now() + 0.002)
                with contextlib.suppress(BlockingIOError):
                    self._received(host.recv(4096))
                with self._lock:
                    self.bench.pass_time(0.002)
                    host.sendall(self.bench.read())

    def _received(self, data: bytes) -> None:
        if not data:
            self._ended.set()
        with self._lock:
            self.bench.write(data)

    def set_contact(self, closed: bool) -> None:
        with self._lock:
            self.bench.set_contact("D2", closed)

    def lamp(self) -> int:
        with self._lock:
            return self.bench.lamp("D5")

    def close(self) -> None:
        self._ended.set()
        self._server.close()
        self._thread.join(10)


@pytest.fixture(params=["large", "minimal"])
def board(request: pytest.FixtureRequest) -> Iterator[TcpBoard]:
    program = native_minimal() if request.param == "minimal" else None
    with closing(NativeBench("uno", program=program)) as bench, closing(TcpBoard(bench)) as board:
        yield board


def test_it_sets_up_both_sketches_reads_a_switch_and_lights_a_lamp(board: TcpBoard) -> None:
    with Perl("host.pl", "tcp", "127.0.0.1", board.port) as host:
        host.wait_for("hello ")
        host.wait_for("live")
        host.wait_for("contact 0")
        for number in range(2):
            board.set_contact(True)
            host.wait_for(f"edge {2 * number} 1")
            host.wait_for("contact 1")
            host.order("noise")
            host.wait_for(f"bad {number + 1}")
            assert board.lamp() == 200
            board.set_contact(False)
            host.wait_for("contact 0")
        host.order("silent 1200")
        host.wait_for("flags 1")
        host.wait_for("flags 0")
        host.order("release")
        host.wait_for("released")


@pytest.mark.parametrize("sketch", [SKETCH, MINIMAL], ids=lambda path: path.name)
def test_it_drives_a_simulated_chip(sketch: Path, tmp_path: Path) -> None:
    link = tmp_path / "board"
    with closing(LiveBoard("uno", link, sketch=sketch)) as board:
        with Perl("host.pl", "file", str(link)) as host:
            host.wait_for("live")
            host.wait_for("contact 0")
            board.set_contact(2, True)
            host.wait_for("contact 1")
            host.order("tone 2")
            board.wait_for_pin(8, "1")
            board.order("reset")
            host.wait_for("reset")
            host.wait_for("live")
            board.set_contact(2, False)
            host.wait_for("contact 0")
            host.order("release")
            host.wait_for("released")
        board.wait_for_pin(8, "free")
