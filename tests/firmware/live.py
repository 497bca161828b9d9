"""A board's binary in the simulator in real time, with its serial line on a pty."""

from __future__ import annotations

import os
import queue
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path

from panelbridge.clock import LiveClock
from panelbridge.config.boards import BoardKind
from tests.firmware.avr_bench import places
from tests.firmware.build import SKETCH, TARGETS, avr_elf, runner

PATIENCE_S = 30.0


class LiveBoard:
    """The runner in real time.

    Args:
        kind: which board.
        link: path of the symbolic link to its port.
        reset_on_open: opening the port resets the board, as on an Uno.
        sketch: folder of the program.
    """

    def __init__(
        self,
        kind: BoardKind,
        link: Path,
        *,
        reset_on_open: bool = False,
        sketch: Path = SKETCH,
    ) -> None:
        self._clock = LiveClock()
        self.link = link
        self.places = places(kind)
        command: list[str | Path] = [
            runner(),
            TARGETS[kind].mcu,
            avr_elf(kind, sketch),
            "--pty",
            link,
        ]
        command += ["--reset-on-open"] * reset_on_open
        command += ["--usb"] * bool(TARGETS[kind].usb)
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
        )
        self._lines: queue.SimpleQueue[list[str] | None] = queue.SimpleQueue()
        self.levels: dict[str, str] = {}
        """What each pin does, by port and bit: "free", "pullup", "0" or "1"."""
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        self.wait_for(lambda words: words[0] == "port")

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._lines.put(line.split())
        self._lines.put(None)

    def wait_for(self, wanted: Callable[[list[str]], bool]) -> list[str]:
        """The next line for which ``wanted`` is true."""
        while True:
            words = self._lines.get(timeout=PATIENCE_S)
            assert words is not None, "the runner has ended"
            if words[0] == "o":
                self.levels[words[2]] = words[-1]
            if wanted(words):
                return words

    def order(self, text: str) -> float:
        """Returns when it was carried out, in us of the board's time."""
        assert self._process.stdin is not None
        self._process.stdin.write(text + "\n")
        self._process.stdin.flush()
        done = self.wait_for(lambda words: words[0] == "done" and " ".join(words[2:]) == text)
        return float(done[1])

    def set_contact(self, pin: int, closed: bool) -> float:
        return self.order(f"in {self.places[pin]} {'0' if closed else 'z'}")

    def wait_for_pin(self, pin: int, state: str) -> float:
        """Wait for a pin's state; returns since when, us (0.0 if it was so before)."""
        place = self.places[pin]
        if self.levels.get(place, "free") == state:
            return 0.0
        words = self.wait_for(
            lambda words: words[0] == "o" and words[2] == place and words[-1] == state
        )
        return float(words[1])

    def rest(self, seconds: float) -> None:
        """Let it run for ``seconds`` of real time."""
        self._clock.sleep_until(self._clock.now() + seconds)

    def unplug(self) -> None:
        """Remove its port, as when the cable is unplugged."""
        self._process.kill()
        self._finish()
        if os.path.lexists(self.link):
            self.link.unlink()

    def close(self) -> None:
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._finish()

    def _finish(self) -> None:
        self._process.wait(PATIENCE_S)
        self._reader.join(PATIENCE_S)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.stdout.close()
