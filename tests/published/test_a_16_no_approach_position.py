"""A-16: 14 CFR 125.187(a)(2), 45 FR 67235, A-17: 14 CFR 121.289: a type without approach flaps."""

from __future__ import annotations

import pytest

from tests.logic.warning_stage import WarningStage


@pytest.mark.parametrize(("flap_deg", "horn"), [(0.0, 0), (12.0, 0), (12.1, 1), (40.0, 1)])
def test_the_angle_with_which_the_gear_is_extended_is_the_limit(flap_deg: float, horn: int) -> None:
    """14 CFR 125.187(a)(2): "beyond the position at which the gear is normally extended"."""
    bench = WarningStage({"flap_limit_deg": 12.0}).levers(95, 95)
    assert bench.after(1.0, flap_deg=flap_deg).horn == horn


def test_full_flap_without_gear_cannot_be_silenced() -> None:
    """The trade's check value (common practice, no source): 40 degrees, continuous."""
    bench = WarningStage({"flap_limit_deg": 25.0}).levers(95, 95)
    bench.after(1.0, flap_deg=40.0)
    assert bench.pattern.value == "continuous"
    for control in ("horn_silence", "lever_horn_silence"):
        assert bench.press(control).horn == 1


def test_the_trade_s_throttle_rule() -> None:
    """Common practice, no source: 55 % N1, 170 knots, 14,500 ft, two buttons."""
    numbers = {
        "throttle_approach_fraction": 0.55,
        "quiet_from_kias": 170.0,
        "inhibit_above_ft": 14500.0,
        "enable_below_ft": 14000.0,
    }
    for levers, kias, altitude_ft, horn in (
        ((54, 90), 169.0, 14000.0, 1),
        ((56, 90), 169.0, 14000.0, 0),
        ((54, 90), 175.0, 14000.0, 0),
        ((54, 90), 169.0, 14600.0, 0),
    ):
        for control in ("horn_silence", "lever_horn_silence"):
            bench = WarningStage(numbers)
            bench.after(1.0, kias=kias, altitude_ft=altitude_ft)
            bench.levers(*levers)
            assert bench.horn == horn
            assert bench.press(control).horn == 0
