"""A-12: US Army TM 55-1510-222-10, TM 1-1510-224-10, TM 1-1510-262-10: a limit of 14 s."""

from __future__ import annotations

import pytest

from tests.logic.gear_rig import DOWN, NAMES, UP, Rig, flying

PACK = {"power": "electric_pack", "travel_limit_s": 14.0}
HYDRAULIC = {"power": "hydraulic", "travel_limit_s": 14.0}


@pytest.mark.parametrize("power", [PACK, HYDRAULIC])
@pytest.mark.parametrize("handle", ["down", "up"])
def test_a_leg_that_never_locks_is_cut_off_after_14_s_and_stays_so(
    power: dict[str, object], handle: str
) -> None:
    """TM 55-1510-222-10: on at 0.1 s and at 13.9 s, off by 14.1 s, latched; red stays, no green."""
    rig = flying(UP if handle == "down" else DOWN, power=power).fault("nose", "hung")
    assert rig.doing == "idle"
    rig.at(10.0, handle=handle)
    for now_s, doing in ((10.1, "running"), (23.9, "running"), (24.1, "cut_off")):
        assert rig.at(now_s).doing == doing
    assert rig.names.count("gear_power_cut_off") == 1
    assert [h.time_s for h in rig.events if h.name == "gear_power_cut_off"] == [24.0]
    for step_s in (1.0, 600.0, 3600.0):
        rig.after(step_s)
        assert rig.doing == "cut_off"
        assert rig.reds == {"nose"}
        assert "nose" not in rig.greens
        assert "gear_power_amber" in rig.lit


@pytest.mark.parametrize("handle", ["down", "up"])
def test_a_normal_gear_locks_in_6_to_7_s_and_nothing_is_cut_off(handle: str) -> None:
    """TM 55-1510-222-10: gear travel 6 to 7 s; the motor's power ends at full travel."""
    rig = flying(UP if handle == "down" else DOWN, power=PACK)
    rig.at(10.0, handle=handle).at(60.0)
    doing = [(when, word) for when, name, word in rig.trace if name == "power"]
    assert [word for _, word in doing] == ["running", "idle"]
    assert 16.0 <= doing[1][0] <= 17.3
    assert "gear_power_cut_off" not in rig.names
    assert rig.all_down if handle == "down" else rig.all_up


def test_the_handle_does_not_reset_the_latch() -> None:
    """TM 55-1510-222-10: a relay *and breaker* open: cycling the handle brings nothing back."""
    rig = flying(power=PACK).fault("nose", "hung").at(10.0, handle="down").at(30.0)
    travels = rig.travels()
    for number in range(4):
        rig.after(5.0, handle="up" if number % 2 == 0 else "down")
        assert rig.doing == "cut_off"
    assert rig.travels() == travels


def test_the_latch_stays_though_the_leg_comes_free() -> None:
    """TM 55-1510-222-10: what opened stays open until it is reset."""
    rig = flying(power=PACK).fault("nose", "hung").at(10.0, handle="down").at(30.0)
    rig.fault("nose", None).after(10.0)
    assert rig.doing == "cut_off"
    assert rig.reds == {"nose"}
    rig.press("gear_reset").after(1.0)
    assert rig.doing == "idle"
    assert rig.greens == set(NAMES)
    assert rig.names.count("gear_power_reset") == 1


def test_after_the_reset_the_next_movement_has_its_own_14_s() -> None:
    """TM 55-1510-222-10, with our reset button: the time begins anew."""
    rig = flying(power=PACK).fault("nose", "hung").at(10.0, handle="down").at(100.0)
    rig.at(100.0, gear_reset=True)
    assert rig.doing == "running"
    assert rig.at(113.9).doing == "running"
    assert rig.at(114.1).doing == "cut_off"
    assert rig.after(100.0).doing == "cut_off", "held all the time: that is one pressing"


def test_a_movement_that_is_turned_round_has_its_own_14_s() -> None:
    """TM 55-1510-222-10 gives a movement 14 s: down, up, down on the approach is three of them."""
    rig = flying(UP, power=HYDRAULIC)
    rig.at(10.0, handle="down").at(16.0, handle="up").at(22.0, handle="down").at(60.0)
    assert "gear_power_cut_off" not in rig.names
    assert rig.all_down
    rig.at(100.0, handle="up").fault("nose", "hung")
    rig.at(105.0, handle="down").at(112.0, handle="up").at(125.9)
    assert rig.doing == "running"
    assert rig.at(126.0).doing == "cut_off"


def test_the_reset_in_the_air_is_the_file_s_choice() -> None:
    """Our own decision: it works there too, for without it emergency extension alone is left."""
    for works in (True, False):
        rig = flying(UP, power={**HYDRAULIC, "reset_in_flight": works}).fault("nose", "hung")
        rig.at(10.0, handle="down", gear_reset=False).at(30.0)
        rig.press("gear_reset")
        assert rig.doing == ("running" if works else "cut_off")
        assert ("gear_reset_refused" in rig.names) is not works


def test_a_reset_button_that_is_found_pressed_resets_nothing() -> None:
    """Our own decision: start-up is not a command."""
    rig = Rig(power=PACK, found=UP)
    rig.at(1.0, strut=False, gear_reset=None).fault("nose", "hung")
    rig.at(10.0, handle="down").at(30.0, gear_reset=True)
    assert rig.after(1.0).doing == "cut_off"
    rig.after(1.0, gear_reset=False).after(1.0, gear_reset=True)
    assert rig.doing == "running"
