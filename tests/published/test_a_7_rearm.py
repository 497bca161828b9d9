"""A-7: 14 CFR 23.729(f)(1), Amdt 23-49, 61 FR 5166: the silenced horn and another retardation."""

from __future__ import annotations

import pytest

from tests.logic.build import (
    CLOSED,
    OPEN,
    changed,
    flying_gear_down,
    flying_gear_up,
    switches,
    twin,
)


def test_another_lever_sounds_a_silenced_horn() -> None:
    """14 CFR 23.729(f)(1): "subsequent retardation of any throttle ... will activate"."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"
    bench.press("horn_silence")
    assert bench.horn == "silent"
    bench.throttles(CLOSED, CLOSED)
    assert bench.horn == "intermittent"


@pytest.mark.parametrize("lever", [0, 1])
def test_one_lever_opened_and_closed_again(lever: int) -> None:
    """14 CFR 23.729(f)(1): retard ON, silence OFF, advance OFF, retard ON."""
    closed = (CLOSED, OPEN) if lever == 0 else (OPEN, CLOSED)
    bench = flying_gear_up()
    bench.throttles(*closed)
    assert bench.horn == "intermittent"
    bench.press("horn_silence")
    assert bench.horn == "silent"
    bench.throttles(OPEN, OPEN)
    assert bench.horn == "silent"
    bench.throttles(*closed)
    assert bench.horn == "intermittent"


def test_the_same_lever_again_while_the_other_stays_closed() -> None:
    """14 CFR 23.729(f)(1): *any* throttle, also one that was closed before."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, CLOSED)
    bench.press("horn_silence")
    bench.throttles(OPEN, CLOSED)
    assert bench.horn == "silent"
    bench.throttles(CLOSED, CLOSED)
    assert bench.horn == "intermittent"


def test_one_engine_is_enough() -> None:
    """14 CFR 23.729(f)(1): "one or more throttles"."""
    bench = flying_gear_up(twin(engines=1))
    bench.throttles(CLOSED)
    assert bench.horn == "intermittent"
    bench.press("horn_silence")
    bench.throttles(OPEN)
    bench.throttles(CLOSED)
    assert bench.horn == "intermittent"


def test_silence_before_any_retardation_silences_nothing() -> None:
    """14 CFR 23.729(f)(1): the shutoff acts on a warning, not ahead of it."""
    bench = flying_gear_up()
    bench.press("horn_silence")
    bench.press("horn_silence")
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"
    held = flying_gear_up()
    held.after(1.0, switches("up", horn_silence=True))
    held.throttles(CLOSED, OPEN)
    assert held.horn == "intermittent"


def test_to_or_beyond_the_position() -> None:
    """14 CFR 23.729(f)(1): "to, or beyond": the setting itself counts."""
    limit = 0.25
    bench = flying_gear_up(twin(gear_warning={"throttle_approach_fraction": limit}))
    bench.throttles(limit + 0.0001, OPEN)
    assert bench.horn == "silent"
    bench.throttles(limit, OPEN)
    assert bench.horn == "intermittent"


def test_it_functions_continuously_until_locked() -> None:
    """14 CFR 23.729(f)(1): it sounds at every moment until the gear is locked down."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.after(1.0, switches("down"))
    while not bench.all_locked_down:
        assert bench.horn == "intermittent"
        bench.after(0.1)
    assert bench.horn == "silent"


def test_nothing_sounds_with_the_gear_locked_down() -> None:
    """14 CFR 23.729(f)(1): "and gear not fully extended and locked"."""
    bench = flying_gear_down()
    bench.throttles(CLOSED, CLOSED)
    bench.throttles(0.0, 0.0)
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=40.0))
    assert bench.horn == "silent"


def test_closed_again_and_silenced_again_any_number_of_times() -> None:
    """14 CFR 23.729(f)(1): each retardation anew."""
    bench = flying_gear_up()
    for _ in range(10):
        bench.throttles(CLOSED, OPEN)
        assert bench.horn == "intermittent"
        bench.press("horn_silence")
        assert bench.horn == "silent"
        bench.throttles(CLOSED, CLOSED)
        assert bench.horn == "intermittent"
        bench.press("horn_silence")
        bench.throttles(OPEN, OPEN)
        assert bench.horn == "silent"
