"""A terminal on a pty that answers what programs ask it: late, and in pieces if that is wished."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import termios
import threading
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

REPOSITORY = Path(__file__).parents[2]
_ASKED = re.compile(
    rb"\x1b\[(?P<device>[>=]?)0?c|\x1b\[>0?(?P<version>q)|\x1b\[\?(?P<mode>\d+)\$p"
    rb"|\x1b\[(?P<place>6n)|\x1b\[\?(?P<kitty>u)|\x1b\](?P<colour>1[01]);\?(?:\x07|\x1b\\)"
)
"""Device attributes, version, a mode, the cursor's place, kinds of keys, colours (ECMA-48 and the
control sequences of xterm)."""
_QUIET_S = 0.05


def answer_to(asked: re.Match[bytes]) -> bytes:
    """What a common terminal answers."""
    if asked["mode"]:
        return b"\x1b[?%b;2$y" % asked["mode"]
    if asked["place"]:
        return b"\x1b[1;1R"
    if asked["kitty"]:
        return b"\x1b[?0u"
    if asked["version"]:
        return b"\x1bP>|terminal(1)\x1b\\"
    if asked["colour"]:
        return b"\x1b]%b;rgb:0000/0000/0000\x1b\\" % asked["colour"]
    return b"\x1b[>0;276;0c" if asked["device"] == b">" else b"\x1b[?62;22c"


class AnsweringTerminal:
    """A program on a terminal of its own.

    Args:
        command: the program with its arguments.
        size: columns and rows.
        late_s: an answer comes so long after its question, s.
        pause_s: between the pieces of an answer, s.
        piece: bytes of each piece of an answer; 0 = whole.
        environment: of the program, beside that of this process.
    """

    def __init__(
        self,
        command: Sequence[str],
        size: tuple[int, int],
        *,
        late_s: float = 0.0,
        pause_s: float = 0.0,
        piece: int = 0,
        environment: Mapping[str, str] | None = None,
    ) -> None:
        self._late_s, self._pause_s, self._piece = late_s, pause_s, piece
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.process = subprocess.Popen(
            command,
            cwd=REPOSITORY,
            env={**os.environ, "TERM": "xterm-256color", "PYTHONPATH": str(REPOSITORY)}
            | dict(environment or {}),
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
        )
        os.close(slave)
        self._seen = bytearray()
        self._answered = 0
        self.answers = 0
        """Questions that were answered."""
        self._over = False
        self._in_turn = threading.Lock()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def press(self, keys: bytes) -> None:
        """Send keys, as a keyboard does: never in the middle of an answer."""
        with self._in_turn:
            os.write(self._master, keys)

    def wait_for(self, text: str, start: int = 0, patience_s: float = 60.0) -> int | None:
        """Where ``text`` was written after ``start``; None when it never was."""
        end_s = time.monotonic() + patience_s
        while time.monotonic() < end_s:
            at = self._seen.find(text.encode(), start)
            if at >= 0:
                return at
            time.sleep(_QUIET_S)
        return None

    @property
    def written(self) -> bytes:
        """All that the program has written."""
        return bytes(self._seen)

    def close(self) -> None:
        """End the program and the terminal."""
        self._over = True
        self.process.terminate()
        try:
            self.process.wait(10.0)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._thread.join()
        os.close(self._master)

    def _run(self) -> None:
        while True:
            if select.select([self._master], [], [], _QUIET_S)[0]:
                try:
                    self._seen += os.read(self._master, 65_536)
                except OSError:  # the program has ended
                    return
            elif self._over:
                return
            for asked in _ASKED.finditer(self._seen, self._answered):
                self._answered = asked.end()
                self.answers += 1
                threading.Thread(target=self._answer, args=(answer_to(asked),)).start()

    def _answer(self, answer: bytes) -> None:
        time.sleep(self._late_s)
        size = self._piece or len(answer)
        with self._in_turn:
            for at in range(0, len(answer), size):
                if at:
                    time.sleep(self._pause_s)
                try:
                    os.write(self._master, answer[at : at + size])
                except OSError:
                    return
