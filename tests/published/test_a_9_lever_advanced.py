"""A-9: US Army TM 1-1510-218-10, Landing Gear Warning System: re-armed by an advanced lever."""

from __future__ import annotations

from tests.logic.build import flying_gear_up, twin
from tests.logic.warning_stage import WarningStage

A_9 = {"rearm": "lever_advanced", "flap_limit_deg": 17.0}


def test_the_manual_s_sequence() -> None:
    """TM 1-1510-218-10: horn and handle light; the button stops the horn, never the light."""
    bench = WarningStage(A_9)
    assert bench.levers(85, 85).shown == (0, 0)
    assert bench.levers(75, 85).shown == (1, 1)
    assert bench.pattern.value == "intermittent"
    assert bench.press().shown == (0, 1)
    assert bench.levers(75, 75).shown == (1, 1), "the second lever, even if silenced"
    assert bench.press().shown == (0, 1)
    assert bench.levers(85, 85).shown == (0, 0)
    assert bench.levers(75, 85).shown == (1, 1)


def test_flaps_beyond_approach_sound_whatever_the_power_and_cannot_be_silenced() -> None:
    """TM 1-1510-218-10: "regardless of power", and no silencing."""
    bench = WarningStage(A_9)
    bench.levers(95, 95)
    assert bench.after(1.0, flap_deg=40.0).shown == (1, 1)
    assert bench.press().shown == (1, 1)
    assert bench.press("lever_horn_silence").shown == (1, 1)
    assert bench.after(1.0, flap_deg=17.0).shown == (0, 0)


def test_an_advanced_lever_rearms_while_the_other_is_still_closed() -> None:
    """TM 1-1510-218-10: "re-arms when levers are advanced": one is enough; it sounds at once."""
    for advanced in ((85, 75), (75, 85)):
        bench = WarningStage(A_9)
        bench.levers(75, 75)
        assert bench.press().shown == (0, 1)
        assert bench.levers(*advanced).shown == (1, 1)
    other = WarningStage({"rearm": "any_retard"})
    other.levers(75, 75)
    other.press()
    assert other.levers(85, 75).shown == (0, 1), "14 CFR 23.729(f)(1) asks for a retardation"


def test_the_handle_s_light_on_the_whole_panel_stays_lit() -> None:
    """TM 1-1510-218-10: the light cannot be cancelled."""
    bench = flying_gear_up(twin(gear_warning={"rearm": "lever_advanced"}))
    bench.throttles(0.1, 0.1)
    bench.press("horn_silence")
    assert (bench.horn, "handle_red" in bench.lit) == ("silent", True)
    bench.throttles(0.8, 0.1)
    assert (bench.horn, "handle_red" in bench.lit) == ("intermittent", True)
