"""A-11: US Army TM 1-1510-218-10, TM 55-1510-220-10: airspeed and altitude keep the horn quiet.

A-5: 14 CFR 25.729(e)(5), (6): an inhibit that has failed must not block the warning.
"""

from __future__ import annotations

from math import nan

import pytest
from pydantic import ValidationError

from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from tests.logic.build import changed, flying_gear_up, twin
from tests.logic.warning_stage import WarningStage

GATES = {
    "quiet_from_kias": 140.0,
    "inhibit_above_ft": 12500.0,
    "enable_below_ft": 10500.0,
    "flap_limit_deg": 17.0,
}


def stage(**more: object) -> WarningStage:
    return WarningStage({**GATES, **more}).levers(75, 75)


def test_quiet_until_slower_than_the_setting_and_the_light_stays() -> None:
    """TM 1-1510-218-10: quiet until below 140 knots, the handle lights lit all the time."""
    bench = stage()
    assert bench.after(1.0, kias=160.0).shown == (0, 1)
    assert bench.after(1.0, kias=140.0).shown == (0, 1), "at the setting itself"
    assert bench.after(1.0, kias=139.0).shown == (1, 1)


def test_the_airspeed_has_a_hysteresis() -> None:
    bench = stage(quiet_hysteresis_kias=5.0)
    for kias, horn in ((144.9, 1), (145.0, 0), (140.0, 0), (139.9, 1), (144.9, 1), (150.0, 0)):
        assert bench.after(1.0, kias=kias).horn == horn
    plain = stage(quiet_hysteresis_kias=0.0)
    for kias, horn in ((139.9, 1), (140.0, 0), (139.9, 1)):
        assert plain.after(1.0, kias=kias).horn == horn


@pytest.mark.parametrize(
    ("path", "horn"),
    [
        ((10400.0, 12400.0, 10600.0), 1),
        ((10400.0, 12500.0), 1),
        ((12600.0,), 0),
        ((12600.0, 11000.0), 0),
        ((12600.0, 11000.0, 10500.0), 0),
        ((12600.0, 11000.0, 10400.0), 1),
        ((12600.0, 10400.0, 12400.0), 1),
    ],
)
def test_inhibited_by_a_climb_and_enabled_by_a_descent(path: tuple[float, ...], horn: int) -> None:
    """TM 55-1510-220-10: climbing through 12,500 ft, descending through 10,500 ft."""
    bench = stage()
    for altitude_ft in path:
        bench.after(10.0, altitude_ft=altitude_ft)
        assert bench.red == 1
    assert bench.horn == horn


def test_either_inhibits_by_itself() -> None:
    bench = stage()
    for kias, altitude_ft, horn in (
        (160.0, 13000.0, 0),
        (130.0, 13000.0, 0),
        (160.0, 9000.0, 0),
        (130.0, 9000.0, 1),
    ):
        assert bench.after(1.0, kias=kias, altitude_ft=altitude_ft).horn == horn


def test_the_flap_horn_heeds_neither() -> None:
    """TM 1-1510-218-10: the switches are in the way of the throttle horn alone."""
    bench = stage()
    bench.after(1.0, kias=200.0, altitude_ft=13000.0)
    assert bench.horn == 0
    assert bench.after(1.0, flap_deg=17.1).horn == 1
    assert bench.pattern.value == "continuous"
    assert bench.after(1.0, flap_deg=17.0).horn == 0


def test_the_handle_on_the_ground_heeds_neither() -> None:
    bench = stage()
    bench.after(1.0, kias=200.0, altitude_ft=13000.0)
    assert bench.after(1.0, handle_up_on_ground=True).horn == 1


@pytest.mark.parametrize("unknown", [None, nan])
def test_what_is_unknown_does_not_inhibit(unknown: float | None) -> None:
    """14 CFR 25.729(e)(6): a lost airspeed or altitude lets the horn sound."""
    for name, high in (("kias", 200.0), ("altitude_ft", 13000.0)):
        bench = stage()
        assert bench.after(1.0, **{name: high}).horn == 0
        assert bench.after(1.0, **{name: unknown}).horn == 1
        assert bench.after(1.0, **{name: high}).horn == 0
        fresh = WarningStage(GATES)
        fresh.after(1.0, **{name: unknown})
        assert fresh.levers(75, 75).horn == 1


def test_found_between_the_two_limits_it_does_not_inhibit() -> None:
    """14 CFR 25.729(e)(6): in doubt it sounds."""
    for name, between in (("kias", 141.0), ("altitude_ft", 11000.0)):
        bench = stage()
        bench.after(1.0, **{name: None})
        assert bench.after(1.0, **{name: between}).horn == 1


def test_the_inhibit_ends_the_occurrence_and_its_silence() -> None:
    """14 CFR 25.1322(c), (d): acknowledged, gone, and back: it sounds again."""
    bench = stage()
    assert bench.press().horn == 0
    bench.after(1.0, kias=160.0)
    assert not bench.is_silenced()
    assert bench.after(1.0, kias=120.0).horn == 1


def test_a_press_while_it_is_inhibited_silences_nothing() -> None:
    """14 CFR 23.729(f)(1): the shutoff acts on a warning, not ahead of it."""
    bench = stage()
    bench.after(1.0, kias=160.0)
    bench.press()
    assert bench.after(1.0, kias=120.0).horn == 1


def test_a_silence_that_only_levers_end_outlasts_the_inhibit() -> None:
    """TM 55-1510-222-10: re-armed *only* by both levers."""
    bench = stage(rearm="all_levers_advanced", rearm_fraction=0.86)
    bench.press()
    bench.after(1.0, kias=160.0)
    assert bench.after(1.0, kias=120.0).horn == 0


def test_without_gates_no_value_inhibits() -> None:
    bench = WarningStage().levers(75, 75)
    assert bench.after(1.0, kias=500.0, altitude_ft=60000.0).horn == 1


def test_altitudes_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(ValidationError, match=r"enable_below_ft 9000\.5 is above inhibit_above_ft"):
        GearWarningParameters(inhibit_above_ft=9000.0, enable_below_ft=9000.5)
    GearWarningParameters(inhibit_above_ft=9000.0, enable_below_ft=9000.0)
    GearWarningParameters(enable_below_ft=20000.0)


def test_the_whole_panel_heeds_airspeed_and_altitude() -> None:
    bench = flying_gear_up(twin(gear_warning=GATES))
    bench.after(1.0, aircraft=changed(bench.aircraft, airspeed_kias=160.0, altitude_ft=9000.0))
    bench.throttles(0.1, 0.1)
    assert (bench.horn, "handle_red" in bench.lit) == ("silent", True)
    told = {(r.condition, r.holds, r.detail) for r in bench.logic.reasons("horn")}
    assert ("airspeed inhibits the throttle warning", True, "160 > 140 knots") in told
    assert ("altitude inhibits the throttle warning", False, "9000 <= 12500 feet") in told
    bench.after(1.0, aircraft=changed(bench.aircraft, airspeed_kias=139.0))
    assert bench.horn == "intermittent"
    bench.after(1.0, aircraft=changed(bench.aircraft, altitude_ft=13000.0))
    assert bench.horn == "silent"
