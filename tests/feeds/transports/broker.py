"""A real MQTT broker for tests: mosquitto on a free port of the loopback."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from pathlib import Path

import pytest

from panelbridge.clock import LiveClock
from tests.feeds.transports.running import LONGEST_S, free_port

MOSQUITTO = shutil.which("mosquitto", path=f"{os.environ['PATH']}{os.pathsep}/usr/sbin")


def require_tool(path: str | None, name: str) -> str:
    """Skip a test where a program is missing; fail it in CI."""
    if path is not None:
        return path
    if os.environ.get("CI"):
        pytest.fail(f"{name} is missing: apt-get install {name}")
    pytest.skip(f"{name} is missing: apt-get install {name}")


class Broker:
    """A broker that can be killed and started again at the same port.

    Args:
        folder: for its files.
        settings: lines of its configuration besides the port.
    """

    def __init__(self, folder: Path, *settings: str) -> None:
        self.port = free_port(socket.SOCK_STREAM)
        self._command = [require_tool(MOSQUITTO, "mosquitto"), "-c", str(folder / "broker.conf")]
        lines = [f"listener {self.port} 127.0.0.1", *(settings or ["allow_anonymous true"])]
        if os.name == "posix" and os.geteuid() == 0:
            lines.insert(0, "user root")  # the folder is not open to others
        (folder / "broker.conf").write_text("\n".join(lines) + "\n", "utf-8")
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it, and return when it takes connections."""
        self._process = subprocess.Popen(
            self._command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        clock = LiveClock()
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port), 1.0).close()
                return
            except OSError:
                assert clock.now() < LONGEST_S, "the broker does not come up"
                assert self._process.poll() is None, "the broker has ended"
                clock.sleep_until(clock.now() + 0.01)

    def kill(self) -> None:
        """``kill -9``: it says goodbye to nobody."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None
