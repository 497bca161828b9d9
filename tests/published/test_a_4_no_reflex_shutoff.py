"""A-2, A-3, A-4: 14 CFR 25.729(e)(2) to (4), Amdt 25-136: goes on, in time, no reflex shut-off."""

from __future__ import annotations

import pytest

from tests.logic.build import OPEN, UP, Bench, air, switches, twin
from tests.logic.warning_stage import WarningStage

TRANSPORT = {"silence_allowed": False}


@pytest.mark.parametrize("control", ["horn_silence", "lever_horn_silence"])
def test_no_ordinary_button_stops_it(control: str) -> None:
    """14 CFR 25.729(e)(4): none that is operated "by habitual reflexive action"."""
    bench = WarningStage(TRANSPORT).levers(75, 75)
    for _ in range(5):
        assert bench.press(control).shown == (1, 1)
    bench.after(0.1, **{control: True})
    for _ in range(100):
        assert bench.after(0.1).horn == 1
    assert [name for _, name in bench.logged] == ["horn_sounded"]
    assert bench.detail("throttle warning silenced") == "this aircraft does not allow it"
    other = WarningStage().levers(75, 75)
    assert other.press(control).horn == 0, "an aircraft that allows it"


def test_it_goes_on_until_the_gear_is_down_or_the_landing_is_given_up() -> None:
    """14 CFR 25.729(e)(2): "functions continuously, or is periodically repeated"."""
    for end in ({"all_down": True}, {"levers": (0.9, 0.9)}):
        bench = WarningStage(TRANSPORT).levers(75, 75)
        for _ in range(600):
            assert bench.after(0.1).horn == 1
        bench.after(0.1, **end)
        assert bench.after(0.5).horn == 0


REACTION_S, TRANSIT_S = 5.0, 7.5


def descend(bench: Bench, seconds: float, *, lower_after_s: float | None) -> None:
    """Three degrees from 1,500 ft at 120 knots; power is reduced at 1,200 ft, slower from there."""
    horn_s: float | None = None
    second = 0.0
    while second < seconds:
        altitude_ft = 1500.0 - second * 10.6
        kias = 160.0 if altitude_ft > 1200.0 else max(160.0 - (1200.0 - altitude_ft) * 0.1, 95.0)
        levers = (OPEN, OPEN) if altitude_ft > 1200.0 else (0.2, 0.2)
        lower = lower_after_s is not None and horn_s is not None
        down = lower and second - (horn_s or 0.0) >= (lower_after_s or 0.0)
        state = air(levers, gear_handle=UP, airspeed_kias=kias, altitude_ft=altitude_ft)
        bench.at(10.0 + second, switches("down" if down else "up"), state)
        if bench.horn != "silent" and horn_s is None:
            horn_s = second
        second += 0.5


def test_it_sounds_in_time_to_lock_the_gear_down() -> None:
    """14 CFR 25.729(e)(3): in time to lock the gear down or to go around.

    A scripted approach with the gear forgotten: from the horn on there is more than the legs need
    and the pilot takes to react; and a pilot who lowers the gear then lands on locked legs.
    """
    numbers = {"quiet_from_kias": 140.0, "inhibit_above_ft": 12500.0, **TRANSPORT}
    touchdown_s = 1500.0 / 10.6
    bench = Bench(twin(gear_warning=numbers))
    bench.at(0.0, switches("up"), air(gear_handle=UP))
    descend(bench, touchdown_s, lower_after_s=None)
    assert bench.horn != "silent", "still forgotten at the touchdown"
    first_s = next(h.time_s for h in bench.events if h.name == "horn_sounded") - 10.0
    assert touchdown_s - first_s > REACTION_S + TRANSIT_S
    warned = Bench(twin(gear_warning=numbers))
    warned.at(0.0, switches("up"), air(gear_handle=UP))
    descend(warned, touchdown_s, lower_after_s=REACTION_S)
    assert warned.all_locked_down
    assert warned.horn == "silent"
    assert warned.names.count("horn_sounded") == 1


def test_a_setting_that_is_too_low_would_be_too_late() -> None:
    """The check itself can fail: a gate so slow that the horn never sounds on this approach."""
    bench = Bench(twin(gear_warning={"quiet_from_kias": 90.0}))
    bench.at(0.0, switches("up"), air(gear_handle=UP))
    descend(bench, 1500.0 / 10.6, lower_after_s=None)
    assert "horn_sounded" not in bench.names
