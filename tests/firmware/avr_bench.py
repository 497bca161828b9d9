"""A bench for the contract tests: a board's binary in the instruction-level simulator."""

from __future__ import annotations

import re
from collections import defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from panelbridge.config.boards import BOARDS, BoardKind
from tests.firmware.build import ARDUINO, SKETCH, TARGETS, avr_elf, runner
from tests.firmware.machines import ChainChips, Machine, Seen
from tests.simboard.host import Bench, Host

START_S = 0.01
"""A board receives nothing before its program has started."""
DIMMED_EACH_US = 8000.0
"""Period of software PWM, us."""
TONE_SILENT_AFTER_US = 1600.0
"""A 700 Hz tone toggles more often than this."""


@dataclass(frozen=True)
class Compare:
    """A comparator that dims a pin: its control register and bit, its compare register."""

    control: int
    bit: int
    level: int


# From the chips' definition files (avr-libc): TCCRnA, COMnx1, OCRnx.
_SMALL = {6: Compare(0x44, 7, 0x47), 5: Compare(0x44, 5, 0x48)}
COMPARES: dict[str, dict[int, Compare]] = {
    "atmega328p": {**_SMALL, 11: Compare(0xB0, 7, 0xB3), 3: Compare(0xB0, 5, 0xB4)},
    "atmega2560": {
        13: Compare(0x44, 7, 0x47),
        4: Compare(0x44, 5, 0x48),
        10: Compare(0xB0, 7, 0xB3),
        9: Compare(0xB0, 5, 0xB4),
        11: Compare(0x80, 7, 0x88),
        12: Compare(0x80, 5, 0x8A),
        5: Compare(0x90, 7, 0x98),
        2: Compare(0x90, 5, 0x9A),
        3: Compare(0x90, 3, 0x9C),
        6: Compare(0xA0, 7, 0xA8),
        7: Compare(0xA0, 5, 0xAA),
        8: Compare(0xA0, 3, 0xAC),
    },
    "atmega32u4": {
        11: Compare(0x44, 7, 0x47),
        3: Compare(0x44, 5, 0x48),
        9: Compare(0x80, 7, 0x88),
        10: Compare(0x80, 5, 0x8A),
        6: Compare(0xC2, 3, 0xD2),
        13: Compare(0xC0, 7, 0xCF),
    },
}


@cache
def places(board: str) -> dict[int, str]:
    """Port and bit of each pin, from the Arduino core's definition of the board."""
    variant = TARGETS[board].variant
    text = (ARDUINO / "variants" / variant / "pins_arduino.h").read_text(encoding="utf-8")
    if "digital_pin_to_port_PGM" not in text:  # it includes another board's
        other = re.search(r'#include "\.\./(\w+)/', text)
        assert other, variant
        text = (ARDUINO / "variants" / other[1] / "pins_arduino.h").read_text(encoding="utf-8")
    text = re.sub(r"//.*|/\*.*?\*/", "", text)

    def array(name: str) -> list[str]:
        match = re.search(rf"{name}\[\]\s*=\s*\{{(.*?)\}}", text, re.S)
        assert match, name
        return re.findall(r"\w+(?:\s*\(\s*\d\s*\))?", re.sub(r"[ \t]", "", match[1]))

    ports = [word[-1] for word in array("digital_pin_to_port_PGM") if word[0] == "P"]
    bits = [word[-2] for word in array("digital_pin_to_bit_mask_PGM") if word.startswith("_BV")]
    return {pin: f"{port}{bit}" for pin, (port, bit) in enumerate(zip(ports, bits, strict=True))}


@cache
def channels(board: str) -> dict[str, int]:
    """ADC channel of each analogue pin."""
    names = [name for name, pin in BOARDS[board].pins.items() if pin.analogue]  # type: ignore[index]
    if TARGETS[board].usb:  # A0 is channel 7; there is no 2 or 3
        return dict(zip(names, (7, 6, 5, 4, 1, 0), strict=True))
    return {name: int(name[1:]) for name in names}


@dataclass(frozen=True)
class PinChange:
    """A pin's state from a time on: "free", "pullup", or "level" with 0 or 1."""

    at_us: float
    how: str
    level: int


class AvrBench(Bench):
    """A board in the runner, in lock-step.

    Args:
        kind: which board.
        chips: shift registers are connected (see ``Bench``).
        sketch: folder of the program.
    """

    def __init__(self, kind: BoardKind, *, chips: bool = False, sketch: Path = SKETCH) -> None:
        self.kind = kind
        self.target = TARGETS[kind]
        self.places = places(kind)
        usb = ("--usb",) if self.target.usb else ()
        self.machine = Machine((runner(), self.target.mcu, avr_elf(kind, sketch), *usb))
        self.chips = ChainChips(self.machine, self.place, chips)
        self.history: dict[str, deque[PinChange]] = defaultdict(lambda: deque(maxlen=20_000))
        self.pass_time(START_S)

    def place(self, pin_name: str) -> str:
        """Port and bit of a pin."""
        return self.places[BOARDS[self.kind].pins[pin_name].number]

    # -- the bench ------------------------------------------------------------------------------

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
            else:
                level = int(words[4]) if len(words) > 4 else 0
                self.history[words[2]].append(PinChange(float(words[1]), words[3], level))

    def now_s(self) -> float:
        return self.machine.now_us / 1e6

    def set_contact(self, pin_name: str, closed: bool) -> None:
        if "." in pin_name:
            self.chips.close_contact(pin_name, closed)
        else:
            self.machine.order(f"in {self.place(pin_name)} {'0' if closed else 'z'}")

    def set_analogue(self, pin_name: str, counts: int) -> None:
        millivolts = -(-5000 * counts // 1023)  # the simulated ADC rounds down
        self.machine.order(f"adc {channels(self.kind)[pin_name]} {millivolts}")

    def lamp(self, pin_name: str) -> int:
        self.pass_time(0.0002)
        now = self.state(pin_name)
        if now.how != "level":
            return 0
        share = self.dimmed_to(pin_name)
        return 255 * now.level if share is None else Seen.of_share(share)

    def sounding(self, pin_name: str) -> bool:
        self.pass_time(0.0002)
        now = self.state(pin_name)
        edges = [change for change in self.history[self.place(pin_name)] if change.how == "level"]
        recent = self.machine.now_us - now.at_us < TONE_SILENT_AFTER_US
        return now.how == "level" and len(edges) > 2 and recent

    def chip_high(self, bit_name: str) -> bool:
        self.pass_time(0.0005)
        return self.chips.high(bit_name)

    def reset(self) -> None:
        self.machine.order("reset")

    def close(self) -> None:
        self.machine.close()

    # -- measurements ---------------------------------------------------------------------------

    def state(self, pin_name: str) -> PinChange:
        """What the pin does now."""
        history = self.history[self.place(pin_name)]
        return history[-1] if history else PinChange(0.0, "free", 0)

    def most_items(self) -> int:
        """Maximum number of items in a set-up."""
        return BOARDS[self.kind].items

    def peek(self, address: int) -> int:
        """A byte of the chip's memory."""
        words = self.machine.ask(f"peek {address}")[-2]
        return int(words[1], 16)

    def dimmed_to(self, pin_name: str) -> int | None:
        """PWM duty cycle of the pin, of 255; None when its level is steady."""
        compare = COMPARES[self.target.mcu].get(BOARDS[self.kind].pins[pin_name].number)
        if compare:
            if not self.peek(compare.control) >> compare.bit & 1:
                return None
            return self.peek(compare.level)
        if self.machine.now_us - self.state(pin_name).at_us > 2 * DIMMED_EACH_US:
            return None
        self.pass_time(2.5 * DIMMED_EACH_US / 1e6)
        highs = [c for c in self.history[self.place(pin_name)] if c.level][-2:]
        if len(highs) < 2 or not 0 < highs[1].at_us - highs[0].at_us < 1.1 * DIMMED_EACH_US:
            return None
        high_us = self.time_high_us(pin_name, highs[0].at_us, highs[1].at_us)
        return round(255 * high_us / DIMMED_EACH_US)

    def time_high_us(self, pin_name: str, from_us: float, to_us: float) -> float:
        """How long a pin was high between two instants."""
        total, level, since = 0.0, 0, from_us
        for change in self.history[self.place(pin_name)]:
            if change.at_us > to_us:
                break
            if change.at_us > since:
                total += level * (change.at_us - since)
                since = change.at_us
            level = change.level if change.how == "level" else 0
        return total + level * (to_us - since)

    def lost_bytes(self) -> int:
        """Bytes from the host that were lost because the chip did not read them in time."""
        return int(self.machine.ask("lost")[-2][1])


def avr_host(request: pytest.FixtureRequest) -> Iterator[Host]:
    """A host of the kind of board that is the fixture's parameter."""
    bench = AvrBench(request.param)
    yield Host(bench)
    bench.close()


def avr(host: Host) -> AvrBench:
    """The board of such a host."""
    assert isinstance(host.bench, AvrBench)
    return host.bench
