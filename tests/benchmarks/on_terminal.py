"""A command of ours on a pseudo-terminal: what it writes, and what its processor time is."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import threading
from contextlib import suppress
from pathlib import Path
from time import monotonic

SIZE = (120, 40)
_HAS_SCREEN = b"\x1b[?1049h"
"""It has changed to the terminal's second screen."""
_START_S = 60.0
_TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")


class OnTerminal:
    """A command with its screen.

    Args:
        arguments: of ``panelbridge``.
        size: columns and rows of the terminal.

    Attributes:
        written: number of bytes that it has written.
    """

    def __init__(self, *arguments: str, size: tuple[int, int] = SIZE) -> None:
        self._terminal, its_end = pty.openpty()
        fcntl.ioctl(its_end, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self._process = subprocess.Popen(
            [sys.executable, "-m", "panelbridge", *arguments],
            stdin=its_end,
            stdout=its_end,
            stderr=its_end,
            env={**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"},
            start_new_session=True,
        )
        os.close(its_end)
        self.written = 0
        if not self.read_until(_HAS_SCREEN, _START_S):
            raise SystemExit("its screen did not open")

    def type(self, keys: str) -> None:
        """Type on its keyboard."""
        os.write(self._terminal, keys.encode())

    def read_for(self, seconds: float) -> bytes:
        """What it writes meanwhile."""
        until_s, found = monotonic() + seconds, b""
        while (left_s := until_s - monotonic()) > 0:
            found += self._read(left_s)
        return found

    def read_until(self, sign: bytes, seconds: float) -> bool:
        """Whether it has written ``sign`` within so many seconds."""
        until_s, found = monotonic() + seconds, b""
        while sign not in found:
            if (left_s := until_s - monotonic()) <= 0:
                return False
            found = found[-len(sign) :] + self._read(left_s)
        return True

    def _read(self, seconds: float) -> bytes:
        if not select.select([self._terminal], [], [], seconds)[0]:
            return b""
        try:
            found = os.read(self._terminal, 65536)
        except OSError:  # it has closed its end
            raise SystemExit("the command has ended") from None
        self.written += len(found)
        return found

    def drain(self) -> None:
        """Read on in a thread from now on, so that its screen never waits for a reader."""
        threading.Thread(target=self._drain, daemon=True).start()

    def _drain(self) -> None:
        with suppress(SystemExit):
            while True:
                self._read(1.0)

    def processor_s(self) -> float:
        """Processor time of its process, without children, s."""
        fields = Path(f"/proc/{self._process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / _TICKS_A_SECOND

    def close(self) -> None:
        """End it."""
        self._process.kill()
        self._process.wait()
        os.close(self._terminal)
