"""A-10: US Army TM 55-1510-222-10: re-armed only by both levers above a second setting."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from tests.logic.build import flying_gear_up, twin
from tests.logic.warning_stage import WarningStage

A_10 = {"rearm": "all_levers_advanced", "rearm_fraction": 0.86, "flap_limit_deg": 17.0}


def test_the_manual_s_sequence() -> None:
    """TM 55-1510-222-10: "re-arms only if both levers advanced above 86 % N1"."""
    bench = WarningStage(A_10)
    bench.levers(90, 90)
    assert bench.levers(75, 75).horn == 1
    assert bench.press().horn == 0
    bench.levers(82, 82)
    assert (bench.horn, bench.is_silenced()) == (0, True)
    assert bench.levers(75, 75).horn == 0
    bench.levers(87, 82)
    assert bench.is_silenced()
    assert bench.levers(75, 75).horn == 0
    bench.levers(87, 87)
    assert not bench.is_silenced()
    assert bench.levers(75, 87).horn == 1


def test_both_at_the_same_time() -> None:
    """TM 55-1510-222-10: *both* above the setting, not one after the other; at it is not above."""
    bench = WarningStage(A_10)
    bench.levers(75, 75)
    bench.press()
    for levers in ((87, 75), (75, 87), (86, 86), (75, 75)):
        assert bench.levers(*levers).horn == 0
    assert bench.levers(86.1, 86.1).horn == 0
    assert bench.levers(86.1, 75).horn == 1


def test_a_second_lever_does_not_sound_it() -> None:
    """TM 55-1510-222-10: only the re-arming does; other than 14 CFR 23.729(f)(1)."""
    bench = WarningStage(A_10)
    bench.levers(75, 90)
    bench.press()
    assert bench.levers(75, 75).shown == (0, 1)


def test_the_flap_horn_ends_only_with_the_gear_or_the_flaps() -> None:
    """TM 55-1510-222-10: gear lowered, or flaps back to approach."""
    for end in ({"all_down": True}, {"flap_deg": 17.0}):
        bench = WarningStage(A_10)
        bench.levers(75, 75)
        bench.press()
        bench.after(1.0, flap_deg=30.0)
        bench.press()
        assert bench.levers(95, 95).horn == 1
        assert bench.after(1.0, **end).horn == 0


def test_gear_locked_down_ends_the_silence() -> None:
    """A later retraction is a new occurrence (14 CFR 25.1322(d))."""
    bench = WarningStage(A_10)
    bench.levers(75, 75)
    bench.press()
    bench.after(1.0, all_down=True)
    assert bench.after(1.0, all_down=False).horn == 1


def test_a_noisy_lever_does_not_rearm() -> None:
    """14 CFR 25.729(e)(5): a spike shorter than the settling time is nothing."""
    bench = WarningStage(A_10)
    bench.levers(75, 75)
    bench.press()
    bench.after(0.01, levers=(0.95, 0.95))
    bench.after(0.05, levers=(0.75, 0.75))
    assert bench.after(1.0).shown == (0, 1)


def test_an_unknown_lever_does_not_rearm() -> None:
    bench = WarningStage(A_10)
    bench.levers(75, 75)
    bench.press()
    bench.levers(90, None)
    assert bench.is_silenced()


def test_the_second_setting_must_not_lie_in_the_range_that_warns() -> None:
    for rearm, wrong in ((0.31, True), (0.32, False)):
        numbers = {
            "rearm": "all_levers_advanced",
            "rearm_fraction": rearm,
            "throttle_approach_fraction": 0.3,
            "throttle_hysteresis_fraction": 0.02,
        }
        if not wrong:
            GearWarningParameters.model_validate(numbers)
            continue
        with pytest.raises(ValidationError, match=r"0\.32 is above rearm_fraction 0\.31"):
            GearWarningParameters.model_validate(numbers)
    GearWarningParameters(rearm_fraction=0.0)


def test_on_the_whole_panel() -> None:
    numbers = {"rearm": "all_levers_advanced", "rearm_fraction": 0.5}
    bench = flying_gear_up(twin(gear_warning=numbers))
    bench.throttles(0.1, 0.8)
    bench.press("horn_silence")
    bench.throttles(0.4, 0.4)
    bench.throttles(0.1, 0.1)
    assert (bench.horn, bench.logic.view().horn_silenced) == ("silent", True)
    bench.throttles(0.6, 0.6)
    bench.throttles(0.1, 0.6)
    assert bench.horn == "intermittent"
