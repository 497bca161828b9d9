"""A-8: 14 CFR 23.729(f)(2), Amdt 23-49, 61 FR 5166: flaps beyond approach, no manual shutoff.

A-16: 14 CFR 125.187(a), 45 FR 67235, and A-17: 14 CFR 121.289: the same, at which flap position.
"""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.build import (
    CLOSED,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    OPEN,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_up,
    switches,
    twin,
)

LEGS = list(product((LOCKED_UP, FREE, LOCKED_DOWN), repeat=3))


def flaps(bench: Bench, flap_deg: float) -> None:
    bench.after(0.5, aircraft=changed(bench.aircraft, flap_deg=flap_deg))


@pytest.mark.parametrize("levers", [(OPEN, OPEN), (CLOSED, OPEN), (CLOSED, CLOSED), (None, None)])
@pytest.mark.parametrize("pressed", [False, True])
def test_it_sounds_for_every_lever_and_silence(
    levers: tuple[float | None, ...], pressed: bool
) -> None:
    """14 CFR 23.729(f)(2): whatever the throttles and the silence."""
    bench = flying_gear_up()
    bench.throttles(*levers)
    if pressed:
        bench.press("horn_silence")
    flaps(bench, 30.0)
    assert bench.horn == "continuous"
    bench.press("horn_silence")
    assert bench.horn == "continuous"


def test_flaps_extended_over_a_silenced_horn_sound_at_once() -> None:
    """14 CFR 23.729(f)(2): in the very step."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, CLOSED)
    bench.press("horn_silence")
    assert bench.horn == "silent"
    bench.after(0.001, aircraft=changed(bench.aircraft, flap_deg=30.0))
    assert bench.horn == "continuous"


def test_silence_held_for_ten_seconds_does_nothing() -> None:
    """14 CFR 23.729(f)(2): "There may not be a manual shutoff"."""
    bench = flying_gear_up()
    flaps(bench, 30.0)
    bench.after(0.1, switches("up", horn_silence=True))
    for _ in range(1000):
        bench.after(0.01)
        assert bench.horn == "continuous"
    bench.after(0.1, switches("up"))
    assert bench.horn == "continuous"


def test_flaps_back_with_the_levers_open_end_it() -> None:
    """14 CFR 23.729(f)(2): it ends with its condition."""
    bench = flying_gear_up()
    flaps(bench, 30.0)
    bench.press("horn_silence")
    flaps(bench, 20.0)
    assert bench.horn == "silent"


@pytest.mark.parametrize(
    ("flap_deg", "horn"), [(0.0, "silent"), (20.0, "silent"), (20.01, "continuous")]
)
def test_at_the_limit_itself_it_is_silent(flap_deg: float, horn: str) -> None:
    """14 CFR 125.187(a): *beyond* the maximum certificated approach-climb position."""
    bench = flying_gear_up(twin(gear_warning={"flap_limit_deg": 20.0}))
    flaps(bench, flap_deg)
    assert bench.horn == horn


@pytest.mark.parametrize("locks", LEGS)
def test_only_all_legs_locked_down_are_enough(locks: tuple[object, ...]) -> None:
    """14 CFR 23.729(f)(2), 121.289: "gear not fully extended and locked", in all 27 states."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air((OPEN, OPEN), 30.0, leg_locks=locks))
    assert bench.horn == ("silent" if locks == (LOCKED_DOWN,) * 3 else "continuous")
