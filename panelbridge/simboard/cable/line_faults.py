"""Faults of a serial line, to order: damaged, lost, doubled and late bytes, and a dead line.

Everything comes from one seeded generator, so a run repeats exactly.
"""

from __future__ import annotations

import math
import random
from collections import deque
from collections.abc import Mapping

from panelbridge.errors import UsageError

CHANCES = {
    "flip_bit": "chance that a byte has one bit turned over",
    "flip_byte": "chance that a byte becomes another one",
    "drop": "chance that a byte is lost",
    "duplicate": "chance that a byte comes twice",
    "delay": "chance that a byte, and with it all behind it, is late",
}
LATENESS = {"delay_s": "how late such a byte is, seconds"}
SWITCHES = {
    "deaf": "1: the board hears nothing",
    "mute": "1: nothing of the board arrives",
}
BURSTS = {"garbage": "so many random bytes go both ways at once"}
FAULT_NAMES: Mapping[str, str] = {**CHANCES, **LATENESS, **SWITCHES, **BURSTS}
"""Every fault that can be ordered by name, with what its value means."""
_LONGEST_BURST = 100_000
_LONGEST_DELAY_S = 60.0


class LineCounts:
    """What one direction of a line has done to the bytes that went in."""

    def __init__(self) -> None:
        self.bytes = 0
        self.flipped = 0
        self.dropped = 0
        self.duplicated = 0
        self.delayed = 0
        self.garbage = 0


class FaultLine:
    """One direction of a serial line. Bytes keep their order: a late byte holds up those behind it.

    Args:
        rng: where chance comes from.
        rates: value of each fault by its name; may be changed at any time.
    """

    def __init__(self, rng: random.Random, rates: Mapping[str, float]) -> None:
        self._rng = rng
        self._rates = rates
        self._under_way: deque[tuple[float, bytes]] = deque()
        self._last_due_s = float("-inf")
        self.counts = LineCounts()

    @property
    def next_due_s(self) -> float:
        """When the next bytes arrive; infinity when none are under way."""
        return self._under_way[0][0] if self._under_way else float("inf")

    def send(self, now_s: float, data: bytes) -> None:
        """Bytes go in at ``now_s``."""
        self.counts.bytes += len(data)
        if not any(self._rates[name] for name in CHANCES):
            self._put(now_s, data)
            return
        for byte in data:
            self._send_byte(now_s, byte)

    def burst(self, now_s: float, count: int) -> None:
        """``count`` random bytes go in, as when a plug is pushed in or a motor starts."""
        self.counts.garbage += count
        self._put(now_s, self._rng.randbytes(count))

    def take(self, now_s: float) -> tuple[float, bytes] | None:
        """The next bytes that have arrived at ``now_s``: (when they did, bytes), else None."""
        if not self._under_way or self._under_way[0][0] > now_s:
            return None
        return self._under_way.popleft()

    def clear(self) -> None:
        """What is under way is lost."""
        self._under_way.clear()

    def _send_byte(self, now_s: float, byte: int) -> None:
        rates, rng, counts = self._rates, self._rng, self.counts
        chance = rng.random
        if rates["drop"] and chance() < rates["drop"]:
            counts.dropped += 1
            return
        if rates["flip_bit"] and chance() < rates["flip_bit"]:
            counts.flipped += 1
            byte ^= 1 << rng.randrange(8)
        if rates["flip_byte"] and chance() < rates["flip_byte"]:
            counts.flipped += 1
            byte ^= rng.randint(1, 255)
        copies = 1
        if rates["duplicate"] and chance() < rates["duplicate"]:
            counts.duplicated += 1
            copies = 2
        due_s = now_s
        if rates["delay"] and chance() < rates["delay"]:
            counts.delayed += 1
            due_s += rates["delay_s"]
        self._put(due_s, bytes((byte,)) * copies)

    def _put(self, due_s: float, data: bytes) -> None:
        if not data:
            return
        self._last_due_s = due_s = max(due_s, self._last_due_s)
        under_way = self._under_way
        if under_way and under_way[-1][0] == due_s:
            under_way[-1] = (due_s, under_way[-1][1] + data)
        else:
            under_way.append((due_s, data))


class LineFaults:
    """The faults of a line, both ways, set by name.

    Args:
        seed: of everything that happens by chance.
        values: faults to start with, by name.

    Raises:
        UsageError: no such fault, or a value out of its range.
    """

    def __init__(self, seed: int = 0, values: Mapping[str, float] | None = None) -> None:
        rng = random.Random(seed)
        self._rates = dict.fromkeys((*CHANCES, *LATENESS, *SWITCHES), 0.0)
        self._rates["delay_s"] = 0.05
        self.to_board = FaultLine(random.Random(rng.random()), self._rates)
        self.to_host = FaultLine(random.Random(rng.random()), self._rates)
        self._bursts: list[int] = []
        for name, value in (values or {}).items():
            self.order(name, value)

    @property
    def deaf(self) -> bool:
        """The board hears nothing."""
        return bool(self._rates["deaf"])

    @property
    def mute(self) -> bool:
        """Nothing of the board arrives."""
        return bool(self._rates["mute"])

    def value(self, name: str) -> float:
        """The present value of a fault; 0 for a burst, which is over at once."""
        return self._rates.get(name, 0.0)

    def order(self, name: str, value: float) -> None:
        """Set a fault by its name (``FAULT_NAMES``). 0 ends it. Raises: UsageError."""
        longest = _largest(name)
        if not (math.isfinite(value) and 0 <= value <= longest):
            raise UsageError(
                f"{value:g} is no value for the fault {name}",
                hint=f"{FAULT_NAMES[name]}: 0 to {longest:g}",
            )
        if name in BURSTS:
            self._bursts.append(int(value))
        else:
            self._rates[name] = value

    def order_text(self, text: str) -> None:
        """Set a fault from a text such as ``drop=0.01``. Raises: UsageError."""
        name, equals, value = text.partition("=")
        try:
            number = float(value)
        except ValueError:
            number = float("nan")
        if not equals or math.isnan(number):
            raise UsageError(f"{text!r} is no fault", hint="write NAME=VALUE, e.g. drop=0.01")
        self.order(name.strip(), number)

    def take_bursts(self) -> list[int]:
        """The bursts of garbage that were ordered since the last call."""
        bursts, self._bursts = self._bursts, []
        return bursts


def _largest(name: str) -> float:
    if name in CHANCES or name in SWITCHES:
        return 1.0
    if name in LATENESS:
        return _LONGEST_DELAY_S
    if name in BURSTS:
        return _LONGEST_BURST
    raise UsageError(f"there is no fault {name!r}", hint="faults are: " + ", ".join(FAULT_NAMES))
