"""Faults of a serial line, set by name: damaged, lost, doubled and late bytes, and a dead line.

Everything comes from one seeded generator, so a run repeats exactly.
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Mapping
from math import inf, isnan, nan

from msgspec import Struct

from panelbridge.errors import UsageError

_CHANCES = {
    "flip_bit": "chance that one bit of a byte is inverted",
    "flip_byte": "chance that a byte becomes another one",
    "drop": "chance that a byte is lost",
    "duplicate": "chance that a byte arrives twice",
    "delay": "chance that a byte, and with it all later ones, is delayed",
}
FAULT_NAMES: Mapping[str, str] = {
    **_CHANCES,
    "delay_s": "length of such a delay, seconds",
    "deaf": "1: the board receives nothing",
    "mute": "1: nothing arrives from the board",
    "garbage": "number of random bytes that go both ways at once",
}
"""Every fault by name, with the meaning of its value."""
_LARGEST = {"delay_s": 60.0, "garbage": 100_000.0}
"""Largest value of a fault; 1 for the others."""


class LineCounts(Struct):
    """Faults that one direction of a line has made, as numbers of bytes."""

    dropped: int = 0
    duplicated: int = 0
    delayed: int = 0


class FaultLine:
    """One direction of a serial line. Bytes keep their order: a late byte holds up those behind it.

    Args:
        rng: random source.
        rates: value of each fault by its name; may be changed at any time.
    """

    def __init__(self, rng: random.Random, rates: Mapping[str, float]) -> None:
        self._rng = rng
        self._rates = rates
        self._under_way: deque[tuple[float, bytes]] = deque()
        self._last_due_s = -inf
        self.counts = LineCounts()

    @property
    def next_due_s(self) -> float:
        """When the next bytes arrive; infinity when none are under way."""
        return self._under_way[0][0] if self._under_way else inf

    def send(self, now_s: float, data: bytes) -> None:
        """Put bytes on the line at ``now_s``."""
        if not any(self._rates[name] for name in _CHANCES):
            self._put(now_s, data)
            return
        for byte in data:
            self._send_byte(now_s, byte)

    def burst(self, now_s: float, count: int) -> None:
        """Put ``count`` random bytes on the line, as when a plug makes contact."""
        self._put(now_s, self._rng.randbytes(count))

    def take(self, now_s: float) -> tuple[float, bytes] | None:
        """The next bytes that have arrived at ``now_s``, (time of arrival, bytes); else None."""
        return self._under_way.popleft() if self.next_due_s <= now_s and self._under_way else None

    def clear(self) -> None:
        """Discard the bytes that are under way."""
        self._under_way.clear()

    def _happens(self, fault: str) -> bool:
        rate = self._rates[fault]
        return rate > 0 and self._rng.random() < rate

    def _send_byte(self, now_s: float, byte: int) -> None:
        rng, counts = self._rng, self.counts
        if self._happens("drop"):
            counts.dropped += 1
            return
        if self._happens("flip_bit"):
            byte ^= 1 << rng.randrange(8)
        if self._happens("flip_byte"):
            byte ^= rng.randint(1, 255)
        copies, due_s = 1, now_s
        if self._happens("duplicate"):
            counts.duplicated += 1
            copies = 2
        if self._happens("delay"):
            counts.delayed += 1
            due_s += self._rates["delay_s"]
        self._put(due_s, bytes((byte,)) * copies)

    def _put(self, due_s: float, data: bytes) -> None:
        if not data:
            return
        self._last_due_s = due_s = max(due_s, self._last_due_s)
        if self._under_way and self._under_way[-1][0] == due_s:
            data = self._under_way.pop()[1] + data
        self._under_way.append((due_s, data))


class LineFaults:
    """The faults of a line, both ways, set by name.

    Args:
        seed: of everything random.
        values: faults to start with, by name.

    Raises:
        UsageError: no such fault, or a value out of its range.
    """

    def __init__(self, seed: int = 0, values: Mapping[str, float] | None = None) -> None:
        rng = random.Random(seed)
        self._rates = dict.fromkeys(FAULT_NAMES, 0.0) | {"delay_s": 0.05}
        self.to_board = FaultLine(random.Random(rng.random()), self._rates)
        self.to_host = FaultLine(random.Random(rng.random()), self._rates)
        self._bursts: list[int] = []
        for name, value in (values or {}).items():
            self.order(name, value)

    def value(self, name: str) -> float:
        """The present value of a fault; 0 for a burst, which is over at once."""
        return self._rates[name]

    def order(self, name: str, value: float) -> None:
        """Set a fault by its name (``FAULT_NAMES``). 0 ends it. Raises: UsageError."""
        if name not in FAULT_NAMES:
            hint = "faults are: " + ", ".join(FAULT_NAMES)
            raise UsageError(f"there is no fault {name!r}", hint=hint)
        largest = _LARGEST.get(name, 1.0)
        if not 0 <= value <= largest:
            raise UsageError(
                f"{value:g} is not a valid value of {name}",
                hint=f"{FAULT_NAMES[name]}: 0 to {largest:g}",
            )
        if name == "garbage":
            self._bursts.append(int(value))
        else:
            self._rates[name] = value

    def order_text(self, text: str) -> None:
        """Set a fault from a text such as ``drop=0.01``. Raises: UsageError."""
        name, _, number = text.partition("=")
        try:
            value = float(number)
        except ValueError:
            value = nan
        if isnan(value):
            raise UsageError(f"{text!r} is not a fault", hint="write NAME=VALUE, e.g. drop=0.01")
        self.order(name.strip(), value)

    def take_bursts(self) -> list[int]:
        """The bursts of garbage that were ordered since the last call."""
        bursts, self._bursts = self._bursts, []
        return bursts
