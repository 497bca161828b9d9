"""B-1: 14 CFR 25.1322(a)-(d), 75 FR 67201: an alert goes when its condition goes."""

from __future__ import annotations

import pytest

from tests.logic.build import (
    CLOSED,
    DOWN,
    FREE,
    LOCKED_DOWN,
    OPEN,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_up,
    ground,
    on_ground,
    switches,
)


def test_throttle_alert_off_in_the_step_in_which_the_gear_locks() -> None:
    """14 CFR 25.1322(a): "be removed when the alerting condition no longer exists"."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air((CLOSED, OPEN), gear_handle=DOWN, leg_locks=(FREE,) * 3))
    assert bench.horn == "intermittent"
    assert "handle_red" in bench.lit
    bench.at(0.001, aircraft=changed(bench.aircraft, leg_locks=(LOCKED_DOWN,) * 3))
    assert bench.horn == "silent"
    assert bench.lit == {"nose_green", "left_green", "right_green"}


@pytest.mark.parametrize("flap_deg", [0.0, 20.0])
def test_flap_alert_off_in_the_step_in_which_the_flaps_come_back(flap_deg: float) -> None:
    """14 CFR 25.1322(a): lamp and horn off at once, nothing latched."""
    bench = flying_gear_up()
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    assert (bench.horn, bench.lit) == ("continuous", {"handle_red"})
    bench.after(0.001, aircraft=changed(bench.aircraft, flap_deg=flap_deg))
    assert (bench.horn, bench.lit) == ("silent", set())


def test_handle_alert_off_in_the_step_in_which_the_handle_comes_down() -> None:
    """14 CFR 25.1322(a)."""
    bench = on_ground()
    bench.after(1.0, switches("up"))
    assert (bench.horn, "handle_red" in bench.lit) == ("intermittent", True)
    bench.after(0.001, switches("down"))
    assert (bench.horn, "handle_red" in bench.lit) == ("silent", False)


def test_a_warning_reaches_two_senses() -> None:
    """14 CFR 25.1322(c)(2): a red lamp and the horn, for each of the rules."""
    for flap_deg, levers in ((30.0, (OPEN, OPEN)), (0.0, (CLOSED, OPEN))):
        bench = flying_gear_up()
        bench.after(1.0, aircraft=air(levers, flap_deg, gear_handle=UP))
        bench.after(1.0)
        assert bench.horn != "silent"
        assert "handle_red" in bench.lit
    bench = on_ground()
    bench.after(1.0, switches("up"), ground(gear_handle=UP))
    assert (bench.horn, "handle_red" in bench.lit) == ("intermittent", True)


def test_acknowledged_cleared_and_back_it_sounds_again() -> None:
    """14 CFR 25.1322(c)(1), (d): one occurrence is acknowledged, not the next."""
    bench = flying_gear_up()
    for _ in range(3):
        bench.throttles(CLOSED, OPEN)
        assert bench.horn == "intermittent"
        bench.press("horn_silence")
        assert bench.horn == "silent"
        bench.throttles(OPEN, OPEN)


def test_the_continuous_class_is_not_suppressed() -> None:
    """14 CFR 25.1322(c)(1): "unless they are required to be continuous" (flaps, 23.729(f)(2))."""
    bench = flying_gear_up()
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    bench.press("horn_silence")
    assert bench.horn == "continuous"
