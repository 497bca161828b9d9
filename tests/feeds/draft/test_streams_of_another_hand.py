"""Four streams by another hand than the drafting code's, each with a layout of its own.

Written once the code was finished, and without a look at how it guesses.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable

import pytest

from panelbridge.feeds.draft.draft import draft_of
from panelbridge.feeds.draft.samples import HeardStream, StreamSample
from tests.feeds.formats.making import a_format

HZ, SECONDS = 25.0, 6.0


def ias(t: float) -> float:
    return round(118.0 + 23.0 * math.sin(0.31 * t), 2)


def altitude(t: float) -> float:
    return round(1480.0 + 12.5 * t + 3.0 * math.sin(2.0 * t), 1)


def gear(t: float) -> int:
    return int(t < 2.5)


def flaps(t: float) -> int:
    return min(int(t / 1.7), 3)


def semicolons(t: float) -> bytes:
    return f"{t:.3f};{ias(t):.2f};{altitude(t):.1f};{flaps(t)};{gear(t)}\r\n".encode()


def pairs(t: float) -> bytes:
    word = "down" if gear(t) else "up"
    return f"ias: {ias(t):.2f}\nalt: {altitude(t):.1f}\nflap: {flaps(t)}\nlever: {word}\n".encode()


def tree(t: float) -> bytes:
    legs = [{"pos": float(gear(t)), "wow": gear(t)} for _ in range(2)]
    air = {"ias": ias(t), "alt": altitude(t)}
    return json.dumps({"v": 3, "air": air, "legs": legs, "flap": flaps(t)}).encode()


def packed(t: float) -> bytes:
    counter = round(t * HZ)
    return struct.pack(">2sHdfBBh", b"GB", counter, ias(t), altitude(t), gear(t), flaps(t), -7)


@pytest.mark.parametrize(
    ("message", "form", "keys"),
    [
        (semicolons, "delimited", {"separator": ";"}),
        (pairs, "names", {"equals": ": "}),
        (tree, "json", {}),
        (packed, "binary", {"order": "big"}),
    ],
)
def test_form_and_numbers_are_found(
    message: Callable[[float], bytes], form: str, keys: dict[str, str]
) -> None:
    samples = [StreamSample(n / HZ, message(n / HZ)) for n in range(int(HZ * SECONDS))]
    draft = draft_of(HeardStream(samples, SECONDS, False))
    assert draft.guess is not None
    found = dict(draft.guess.keys)
    assert found.pop("form") == form
    given = {name: found[name].strip() for name in keys}
    assert given == {name: value.strip() for name, value in keys.items()}
    decoded = a_format(draft.guess.fields, form, **found).decode(message(4.0))
    numbers = [float(one) for one in decoded.values() if isinstance(one, int | float)]
    if message is pairs:  # says its gear as a word
        assert "up" in decoded.values()
        numbers.append(0.0)
    for wanted in (ias(4.0), altitude(4.0), float(flaps(4.0)), float(gear(4.0))):
        close = [one for one in numbers if math.isclose(one, wanted, rel_tol=1e-5, abs_tol=1e-9)]
        assert close, (wanted, draft.guess.keys, draft.guess.doubts)
