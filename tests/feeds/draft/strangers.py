"""Simulators that nobody has seen: streams with made-up names, layouts and rates.

Each layout is drawn from a seed, so that the drafting code cannot know it. The aircraft flies a
smooth curve; everything that is sent is a function of the time.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

from panelbridge.feeds.draft.samples import HeardStream, StreamSample

Value = Callable[[float], float]
WORDS = ("vane", "tilt", "ias", "flap", "n1", "wow_nose", "mixture", "slat", "gs", "oat", "fuel")


def signals(random: Random) -> list[Value]:
    """Some smooth values of a flight, of very different sizes."""
    made: list[Value] = []
    for _ in range(random.randint(3, 9)):
        size = random.choice([1.0, 40.0, 300.0, 12_000.0])
        pace, phase = random.uniform(0.3, 1.5), random.uniform(0.0, 6.0)
        made.append(lambda t, s=size, p=pace, f=phase: s * (1.2 + math.sin(p * t + f)))  # type: ignore[misc]
    return made


@dataclass
class Stranger:
    """A simulator.

    Attributes:
        rate_hz: how often it sends.
        message: what it sends at a time.
        expected: what a reader of it must find in that message, by place in the message.
    """

    rate_hz: float
    message: Callable[[float], bytes]
    expected: Callable[[float], list[float]]
    about: dict[str, Any]

    def heard(self, seconds: float = 5.0, *, is_stream: bool = False) -> HeardStream:
        """What is heard of it; a stream begins and ends in the middle of a message."""
        times = [n / self.rate_hz for n in range(int(seconds * self.rate_hz))]
        samples = [StreamSample(t, self.message(t)) for t in times]
        if is_stream:
            first = samples[0]
            samples[0] = StreamSample(first.time_s, first.data[len(first.data) // 2 :])
        return HeardStream(samples, seconds, is_stream)


def columns(seed: int) -> Stranger:
    """Text in columns."""
    random = Random(seed)
    values = signals(random)
    separator = random.choice([",", ";", "\t", " ", "|"])
    width = random.choice([0, 12])
    end = random.choice(["\n", "\r\n", ""])
    decimals = random.randint(3, 6)

    def message(t: float) -> bytes:
        cells = [f"{value(t):{width}.{decimals}f}" for value in values]
        return (separator.join(cells) + end).encode()

    return Stranger(
        random.choice([10.0, 20.0, 50.0]),
        message,
        lambda t: [round(value(t), decimals) for value in values],
        {"separator": separator, "columns": len(values)},
    )


def pairs(seed: int) -> Stranger:
    """Names and values."""
    random = Random(seed)
    values = signals(random)
    names = random.sample(WORDS, len(values))
    equals, between = random.choice(
        [("=", "\n"), (": ", "\n"), ("=", ";"), (" ", "\n"), ("=", " ")]
    )

    def message(t: float) -> bytes:
        return between.join(
            f"{name}{equals}{value(t):.4f}" for name, value in zip(names, values, strict=True)
        ).encode()

    return Stranger(
        random.choice([10.0, 20.0]),
        message,
        lambda t: [round(value(t), 4) for value in values],
        {"names": names},
    )


def trees(seed: int) -> Stranger:
    """JSON with groups and lists."""
    random = Random(seed)
    values = signals(random)

    def message(t: float) -> bytes:
        numbers = [value(t) for value in values]
        tree = {"t": t, "air": {"a/b": numbers[0]}, "list": [{"x": one} for one in numbers[1:]]}
        return json.dumps({**tree, "gear": "down" if t > 2 else "up", "on": True}).encode() + b"\n"

    return Stranger(
        random.choice([10.0, 20.0]), message, lambda t: [value(t) for value in values], {}
    )


def packed(seed: int, *, mark: bool = True) -> Stranger:
    """Binary numbers one after the other."""
    random = Random(seed)
    order = random.choice("<>")
    start = random.choice([b"FLT1", b"Sim", b"\xaa\x55", b"\x7e\xa5\x5a"]) if mark else b""
    values = signals(random)
    letters = [random.choice("ffffdh") for _ in values]
    flags = random.randint(0, 3)
    at = random.randint(0, len(values))

    def shown(t: float) -> list[float]:
        return [
            float(round(value(t)) if letter == "h" else value(t))
            for letter, value in zip(letters, values, strict=True)
        ]

    def message(t: float) -> bytes:
        lit = bytes(int((t + n) % 2 > 1) for n in range(flags))
        body = b""
        for place, (letter, number) in enumerate(zip(letters, shown(t), strict=True)):
            body += lit if place == at else b""
            body += struct.pack(order + letter, int(number) if letter == "h" else number)
        return start + body + (lit if at == len(values) else b"")

    return Stranger(
        random.choice([20.0, 50.0]),
        message,
        shown,
        {"order": {"<": "little", ">": "big"}[order], "letters": letters, "mark": start},
    )


def records(seed: int) -> Stranger:
    """Numbered records."""
    random = Random(seed)
    order = random.choice("<>")
    header = random.choice([b"REC\0", b"DT01*", b""])
    count, width = random.randint(2, 5), random.randint(1, 8)
    numbers = random.sample(range(1, 120), count)
    values = [[signals(random)[0] for _ in range(width)] for _ in numbers]

    def message(t: float) -> bytes:
        return header + b"".join(
            struct.pack(f"{order}i{width}f", number, *(value(t) for value in row))
            for number, row in zip(numbers, values, strict=True)
        )

    return Stranger(
        20.0,
        message,
        lambda t: [value(t) for row in values for value in row],
        {"values": width, "numbers": sorted(numbers)},
    )


def each(make: Callable[[int], Stranger], count: int) -> Iterator[Stranger]:
    """Several of a kind."""
    yield from (make(seed) for seed in range(count))
