"""A-23: 14 CFR 25.1515(a), (b), Amdt 25-38; 14 CFR 1.2: VLO and VLE."""

from __future__ import annotations

import pytest

from panelbridge.logic.speed_limits.parameters import SpeedLimitsParameters
from tests.logic.test_speed_limits import DOWN, UP, down, moving, on, stage, up

TWO = {"vlo_extend_kias": 200.0, "vlo_retract_kias": 170.0, "vle_kias": 260.0}


def test_one_vlo_sets_both() -> None:
    """14 CFR 25.1515(a): one speed where extending and retracting do not differ."""
    assert SpeedLimitsParameters(vlo_kias=200.0).limits() == {
        "vlo_extend": 200.0,
        "vlo_retract": 200.0,
        "vle": None,
    }


@pytest.mark.parametrize(("demand", "flagged"), [(DOWN, False), (UP, True)])
def test_between_the_two_vlo_down_is_right_and_up_is_not(demand: object, flagged: bool) -> None:
    """14 CFR 25.1515(a): VLO(EXT) and VLO(RET)."""
    speed = stage(**TWO)
    moving(speed, demand, kias=185.0)  # type: ignore[arg-type]
    assert on(speed) is flagged


def test_locked_down_between_vlo_and_vle_is_right_and_in_transit_is_not() -> None:
    """14 CFR 25.1515(b): VLE is for the gear fully extended."""
    speed = stage(**TWO)
    down(speed, kias=260.0)
    assert not on(speed)
    moving(speed, DOWN)
    assert on(speed)
    down(speed)
    assert not on(speed)


@pytest.mark.parametrize("all_down", [True, False])
def test_above_vle_with_any_leg_not_up(all_down: bool) -> None:
    """14 CFR 25.1515(b)."""
    speed = stage(**TWO)
    speed.after(1.0, kias=261.0, all_up=False, all_down=all_down, demand=DOWN)
    assert "vle" in {h.subject for h in speed.events}
    assert on(speed)
    up(speed)
    assert not on(speed)


def test_no_order_of_the_speeds_is_asked_for() -> None:
    """14 CFR 25.1515 names no order."""
    SpeedLimitsParameters(vlo_extend_kias=150.0, vlo_retract_kias=180.0, vle_kias=120.0)
