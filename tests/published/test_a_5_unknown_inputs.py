"""A-5: 14 CFR 25.729(e)(5), (e)(6), Amdt 25-136: what fails must not block the warning.

H-8: lost data is unknown: no green, disagreement shown, horn not inhibited (*from the principle of
A-5; no source of its own*).
"""

from __future__ import annotations

from math import nan

import pytest

from panelbridge.signals import AircraftState
from tests.logic.build import (
    CLOSED,
    DOWN,
    FREE,
    LEG_NAMES,
    LOCKED_DOWN,
    LOCKED_UP,
    NOT_KNOWN,
    OPEN,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_up,
    switches,
    twin,
)


@pytest.mark.parametrize("lost", [None, nan])
@pytest.mark.parametrize("value", ["airspeed_kias", "altitude_ft", "ground_speed_kt"])
def test_no_value_that_is_lost_inhibits_the_horn(value: str, lost: float | None) -> None:
    """14 CFR 25.729(e)(6): an inhibit must not fail so that it blocks the warning."""
    bench = flying_gear_up()
    bench.after(1.0, aircraft=changed(bench.aircraft, **{value: lost}))
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"


@pytest.mark.parametrize("struts", [(), (None,) * 3, (False, None, False)])
def test_unknown_struts_do_not_inhibit_the_horn(struts: tuple[bool | None, ...]) -> None:
    """14 CFR 25.729(e)(6): air or ground unknown is no reason to be silent."""
    bench = flying_gear_up()
    bench.after(1.0, aircraft=changed(bench.aircraft, strut_compressed=struts))
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"


@pytest.mark.parametrize("locks", [(), (NOT_KNOWN,) * 3, (LOCKED_DOWN, LOCKED_DOWN, NOT_KNOWN)])
def test_an_unknown_leg_counts_as_not_locked_down(locks: tuple[object, ...]) -> None:
    """14 CFR 25.729(e)(6): the horn sounds with a leg that nobody knows of."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3))
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "silent"
    bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=locks))
    assert bench.horn == "intermittent"


def test_a_horn_that_sounds_goes_on_when_the_feed_is_lost() -> None:
    """14 CFR 25.729(e)(2), (e)(6): until it is known that the reason is over."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.after(1.0, aircraft=AircraftState())
    for _ in range(100):
        bench.after(1.0)
        assert bench.horn == "intermittent"


def test_lost_data_never_re_arms_a_silenced_horn() -> None:
    """14 CFR 25.729(e)(5): no false alert when the feed stutters."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.press("horn_silence")
    whole = bench.aircraft
    for _ in range(5):
        bench.after(1.0, aircraft=AircraftState())
        bench.after(1.0, aircraft=whole)
        assert bench.horn == "silent"
    bench.throttles(CLOSED, CLOSED)
    assert bench.horn == "intermittent", "a lever that closes later sounds it"


@pytest.mark.parametrize("burst_s", [0.001, 0.01, 0.05, 0.099])
def test_no_lever_that_bounces_sounds_the_horn(burst_s: float) -> None:
    """14 CFR 25.729(e)(5): nothing shorter than the settling time (0.1 s here) is an alert."""
    bench = flying_gear_up()
    for _ in range(20):
        bench.after(1.0, aircraft=changed(bench.aircraft, throttle_fraction=(CLOSED, OPEN)))
        bench.after(burst_s, aircraft=changed(bench.aircraft, throttle_fraction=(OPEN, OPEN)))
    bench.after(5.0)
    assert {outputs.horn.value for _, outputs in bench.history} == {"silent"}
    assert bench.names == []


@pytest.mark.parametrize("silenced", [False, True])
@pytest.mark.parametrize("end", [0.3201, 0.34, 0.36])
def test_a_dip_that_ends_between_the_limits_of_a_lever_is_no_alert(
    end: float, silenced: bool
) -> None:
    """14 CFR 25.729(e)(5): a millisecond at 0.31 (setting 0.32, open again above 0.36)."""
    numbers = {
        "throttle_approach_fraction": 0.32,
        "throttle_hysteresis_fraction": 0.04,
        "throttle_settle_s": 0.15,
    }
    bench = flying_gear_up(twin(gear_warning=numbers))
    other = CLOSED if silenced else OPEN
    bench.throttles(0.34, other)
    bench.after(1.0)
    if silenced:
        bench.press("horn_silence")
    before = list(bench.names)
    bench.after(1.0, aircraft=changed(bench.aircraft, throttle_fraction=(0.31, other)))
    bench.after(0.001, aircraft=changed(bench.aircraft, throttle_fraction=(end, other)))
    bench.after(5.0)
    assert (bench.horn, bench.names) == ("silent", before)


def test_lost_data_of_the_legs_shows_no_green_a_red_and_a_disagreement() -> None:
    """H-8, from the principle of 14 CFR 25.729(e)(1): what is unknown is not shown as locked."""
    bench = Bench(fed_twin())
    whole = air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3)
    bench.at(0.0, switches("down"), whole)
    assert not bench.logic.view().gear_disagrees
    bench.at(1.0, aircraft=AircraftState())
    assert bench.greens == set()
    assert bench.reds == set(LEG_NAMES)
    assert bench.logic.view().gear_disagrees
    assert "handle_red" in bench.lit
    bench.at(2.0, aircraft=whole)
    assert bench.greens == set(LEG_NAMES), "recovery with the first good data"
    assert bench.lit == {f"{name}_green" for name in LEG_NAMES}
    assert bench.names == [], "and nothing of the past is played again"


def test_a_lost_board_shows_a_disagreement_and_leaves_greens_and_horn_alone() -> None:
    """H-8: the handle is unknown; the legs are not."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN, FREE, FREE)))
    bench.throttles(CLOSED, OPEN)
    bench.after(1.0, switches("unknown", horn_silence=None, lamp_test=None, warning_test=None))
    assert bench.greens == {"nose"}
    assert bench.logic.view().gear_disagrees
    assert bench.horn == "intermittent"
    assert bench.command == "nothing"


def test_a_lost_board_s_silence_is_not_pressed_by_its_coming_back() -> None:
    """H-8: no stale edge is played again."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("up"), air(leg_locks=(LOCKED_UP,) * 3))
    bench.throttles(CLOSED, OPEN)
    bench.after(1.0, switches("unknown", horn_silence=None))
    bench.after(1.0, switches("up", horn_silence=True))
    assert bench.horn == "intermittent"
