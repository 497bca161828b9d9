"""Boards under test as processes whose clock the test sets: lines in, lines out."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from panelbridge.config.boards import BOARDS, BoardKind
from tests.firmware.build import native_board
from tests.simboard.host import Bench


class Machine:
    """A process that takes commands (``run``, ``rx``, ``reset``, ...) and answers with lines.

    Args:
        command: the process.
    """

    def __init__(self, command: Sequence[str | Path]) -> None:
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1 << 16
        )
        self.sent = bytearray()
        """Bytes received from the board and not yet taken."""
        self.now_us = 0.0
        self.on_byte: Callable[[float], None] | None = None
        """Called with the time of each byte or packet from the board."""

    def order(self, line: str) -> None:
        """Send a command that has no answer."""
        assert self._process.stdin is not None
        self._process.stdin.write(line + "\n")

    def ask(self, line: str) -> list[list[str]]:
        """Send a command; returns the lines of its answer, the last of which begins with "="."""
        self.order(line)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.flush()
        answer = []
        for text in self._process.stdout:
            words = text.split()
            answer.append(words)
            if words[0] == "=":
                return answer
        raise AssertionError(f"the board under test ended at '{line}'")

    def run(self, us: float) -> list[list[str]]:
        """Run for ``us``; returns the events. Bytes that were sent are collected in ``sent``."""
        happened = []
        for words in self.ask(f"run {round(us)}"):
            if words[0] == "tx":
                self.heard(float(words[1]), bytes.fromhex(words[2]))
            elif words[0] == "=":
                self.now_us = float(words[1])
            else:
                happened.append(words)
        return happened

    def heard(self, at_us: float, data: bytes) -> None:
        """Bytes from the board."""
        self.sent += data
        if self.on_byte:
            self.on_byte(at_us)

    def take(self) -> bytes:
        data = bytes(self.sent)
        self.sent.clear()
        return data

    def close(self) -> None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        rest = self._process.stdout.read()
        self._process.stdout.close()
        code = self._process.wait(10)
        assert code == 0, f"ended with {code}: {rest[-2000:]}"


class Seen(int):
    """The brightness of a lamp, from its measured PWM duty cycle.

    Several brightnesses have the same duty cycle (there are only 256, and the curve is flat at the
    dark end): it is equal to each of them.
    """

    share: int

    @classmethod
    def of_share(cls, share: int) -> Seen:
        fitting = [value for value in range(256) if lamp_share(value) == share]
        seen = cls(fitting[len(fitting) // 2] if fitting else -1)
        seen.share = share
        return seen

    def __eq__(self, other: object) -> bool:
        return isinstance(other, int) and 0 <= other <= 255 and lamp_share(other) == self.share

    def __hash__(self) -> int:
        return self.share


def lamp_share(brightness: int) -> int:
    """PWM duty cycle of a dimmed lamp, of 255: the square of its brightness, rounded up."""
    return -(-brightness * brightness // 255)


class ChainChips:
    """The chips of a bench's chains, by the name of their data pin.

    Args:
        machine: takes the orders.
        place: returns the machine's name of a pin.
        fitted: False = there are none, and their pins are free.
    """

    def __init__(self, machine: Machine, place: Callable[[str], str], fitted: bool) -> None:
        self._machine = machine
        self._place = place
        self._outputs: dict[str, bytes] = {}
        for way, *pins in (("in", "D10", "D11", "D12"), ("out", "D3", "D6", "D13")) * fitted:
            machine.order(f"chain {way} {' '.join(map(place, pins))} 2")

    def close_contact(self, bit_name: str, closed: bool) -> None:
        data, bit = bit_name.split(".")
        self._machine.order(f"bit {self._place(data)} {bit} {0 if closed else 1}")

    def heard(self, place: str, outputs: str) -> None:
        self._outputs[place] = bytes.fromhex(outputs)

    def high(self, bit_name: str) -> bool:
        data, bit = bit_name.split(".")
        outputs = self._outputs.get(self._place(data), bytes(2))
        return bool(outputs[int(bit) // 8] >> int(bit) % 8 & 1)


@dataclass
class NativePinState:
    """How the core drives a pin."""

    how: str = "free"
    value: int = 0


class NativeBench(Bench):
    """The core on this machine, in virtual time.

    Args:
        kind: the board whose pins it has.
        step_us: time between two passes of its loop.
        chips: shift registers are connected (see ``Bench``).
        program: another program than the core for that board.
    """

    def __init__(
        self,
        kind: BoardKind,
        step_us: int = 250,
        *,
        chips: bool = False,
        program: Path | None = None,
    ) -> None:
        self.pins = {name: pin.number for name, pin in BOARDS[kind].pins.items()}
        self.machine = Machine((program or native_board(kind),))
        self.machine.order(f"step {step_us}")
        self.chips = ChainChips(self.machine, lambda name: str(self.pins[name]), chips)
        self.outputs: dict[int, NativePinState] = {}
        self.on_change: Callable[[float, int, NativePinState], None] | None = None

    def write(self, data: bytes) -> None:
        if data:
            self.machine.order(f"rx {data.hex()}")

    def read(self) -> bytes:
        return self.machine.take()

    def pass_time(self, seconds: float) -> None:
        for words in self.machine.run(seconds * 1e6):
            assert words[0] == "o", words
            if words[3] == "chips":
                self.chips.heard(words[2], words[4])
                continue
            state = NativePinState(words[3], int(words[4]) if len(words) > 4 else 0)
            self.outputs[int(words[2])] = state
            if self.on_change:
                self.on_change(float(words[1]), int(words[2]), state)

    def now_s(self) -> float:
        return self.machine.now_us / 1e6

    def set_contact(self, pin_name: str, closed: bool) -> None:
        if "." in pin_name:
            self.chips.close_contact(pin_name, closed)
        else:
            self.machine.order(f"in {self.pins[pin_name]} {'0' if closed else 'z'}")

    def set_analogue(self, pin_name: str, counts: int) -> None:
        self.machine.order(f"adc {self.pins[pin_name]} {counts}")

    def state(self, pin_name: str) -> NativePinState:
        self.pass_time(0.0005)
        return self.outputs.get(self.pins[pin_name], NativePinState())

    def lamp(self, pin_name: str) -> int:
        state = self.state(pin_name)
        if state.how == "dimmed":
            return Seen.of_share(state.value)
        return 255 * state.value if state.how == "level" else 0

    def sounding(self, pin_name: str) -> bool:
        state = self.state(pin_name)
        return state.how == "tone" and state.value > 0

    def chip_high(self, bit_name: str) -> bool:
        self.pass_time(0.0005)
        return self.chips.high(bit_name)

    def reset(self) -> None:
        self.machine.order("reset")

    def close(self) -> None:
        self.machine.close()
