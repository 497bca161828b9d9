"""A-27: 14 CFR 25.1555(d)(1), (2): locked at either end can be told at any time."""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.build import (
    DOWN,
    FREE,
    LEG_NAMES,
    LOCKED_DOWN,
    LOCKED_UP,
    Bench,
    air,
    fed_twin,
    switches,
)


def pattern(locks: object, dimmer: float, handle: str = "down") -> tuple[bool, ...]:
    bench = Bench(fed_twin())
    panel = switches(handle, dimmer=dimmer)
    bench.at(0.0, panel, air(gear_handle=DOWN, leg_locks=locks))
    legs = [f"{name}_{colour}" for name in LEG_NAMES for colour in ("green", "red")]
    return tuple(lamp in bench.lit for lamp in legs)


@pytest.mark.parametrize("handle", ["up", "down", "between", "unknown"])
@pytest.mark.parametrize("dimmer", [0.0, 0.5, 1.0])
def test_all_up_in_transit_and_all_down_look_different(handle: str, dimmer: float) -> None:
    """14 CFR 25.1555(d): dark, three reds, three greens, whatever dimmer and handle."""
    assert pattern((LOCKED_UP,) * 3, dimmer, handle) == (False,) * 6
    assert pattern((FREE,) * 3, dimmer, handle) == (False, True) * 3
    assert pattern((LOCKED_DOWN,) * 3, dimmer, handle) == (True, False) * 3


def test_the_27_states_have_27_patterns() -> None:
    """14 CFR 25.1555(d): injective, leg by leg."""
    states = list(product((LOCKED_UP, FREE, LOCKED_DOWN), repeat=3))
    assert len({pattern(locks, 1.0) for locks in states}) == 27
