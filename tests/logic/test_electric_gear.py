"""An electric gear: its circuit breaker, and a motor that is slower at a low voltage.

Common practice, no source. What is conserved: the way of a leg. Whatever pace it is driven at, the
times of driving, each times its pace, add up to the leg's own time; a leg never jumps, and is never
faster than at the nominal voltage. Limits: pace 0.01 to 1, in steps of 0.01.

By hand, for a leg of 0.5 s unlocking, 6 s down and 7 s up, nominal 24 V, stall 16 V:

* down at 18 V: 18/24 = 0.75, 6/0.75 = 8, locked after 8.5 s; up: 0.5 + 7/0.75 = 9.833 s;
* down, at 24 V for 3.5 s (half way), then 12 V without a stall: 3/0.5 = 6 s more, 9.5 s; up, at
  24 V for 4 s (half way), then 12 V: 3.5/0.5 = 7 s more, 11 s;
* down, the breaker pulled after 3.5 s for 10 s: 6.5 + 10 = 16.5 s.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.gear.legs import Leg
from panelbridge.logic.gear.parameters import DoorParameters, LegParameters
from panelbridge.logic.inventory import events_of, switches_of, vocabulary_of
from panelbridge.logic.systems import misfits_of, wants_of
from panelbridge.signals import LegState
from tests.logic.build import twin
from tests.logic.gear_rig import DOWN, UP, Rig, flying

RIGHT = LegParameters(name="right", unlock_s=0.5, extend_s=0.1, retract_s=0.1)
ELECTRIC: dict[str, Any] = {"power": "electric_pack", "nominal_v": 24.0}


def leg(**more: Any) -> LegParameters:
    return LegParameters(name="nose", unlock_s=0.5, extend_s=6.0, retract_s=7.0, **more)


def rig(found: Any = UP, *, door: DoorParameters | None = None, **power: Any) -> Rig:
    made = flying(found, legs=[leg(door=door), RIGHT], power={**ELECTRIC, **power})
    return made.at(2.0, volts=24.0)


def locked_s(made: Rig, state: str = "down_locked") -> float:
    """When the nose leg locked, s after the handle was moved at 10 s."""
    (when_s,) = [at_s for at_s, name, word in made.trace if (name, word) == ("nose", state)]
    return round(when_s - 10.0, 3)


def said(made: Rig) -> str:
    """What the caution of the power says of its source."""
    (reason,) = made.gear.words(made.loop.world(made.now_s))["supplied"]
    return reason.detail


def test_the_numbers_worked_out_by_hand() -> None:
    assert locked_s(rig().at(10.0, handle="down").at(60.0)) == 6.5
    assert locked_s(rig().at(9.0, volts=18.0).at(10.0, handle="down").at(60.0)) == 8.5
    up = rig(DOWN).at(9.0, volts=18.0).at(10.0, handle="up").at(60.0)
    assert locked_s(up, "up_locked") == 9.833
    half = rig().at(10.0, handle="down").at(13.5, volts=12.0)
    assert half.travels()[0] == pytest.approx(0.5)
    assert locked_s(half.at(60.0)) == 9.5
    back = rig(DOWN).at(10.0, handle="up").at(14.0, volts=12.0).at(60.0)
    assert locked_s(back, "up_locked") == 11.0


def test_a_pulled_breaker_stops_the_legs_where_they_are() -> None:
    made = rig(breaker=True).at(5.0, breaker=False).at(10.0, handle="down").at(13.5, breaker=True)
    assert made.facts.legs[0].state is LegState.STOPPED
    assert (made.doing, "gear_power_amber" in made.lit) == ("unsupplied", True)
    assert made.at(20.0).travels()[0] == pytest.approx(0.5)
    assert said(made) == "circuit breaker pulled"
    assert locked_s(made.at(23.5, breaker=False).at(60.0)) == 16.5
    names = [event.name for event in made.events if "breaker" in event.name]
    assert names == ["gear_breaker_pulled", "gear_breaker_pushed_in"]


def test_found_pulled_it_is_pulled_and_never_known_it_counts_as_pushed_in() -> None:
    found = rig(breaker=True).at(5.0, breaker=True).at(10.0, handle="down").at(60.0)
    assert (found.doing, found.facts.legs[0].is_up) == ("unsupplied", True)
    assert not any("breaker" in event.name for event in found.events)
    assert locked_s(rig(breaker=True).at(10.0, handle="down").at(60.0)) == 6.5


def test_below_the_stall_voltage_it_stands_still_and_the_caution_says_why() -> None:
    """At 15.9 V it stands, half way; it starts above 16.24 V, 1 % of the nominal voltage more."""
    made = rig(stall_v=16.0).at(10.0, handle="down").at(13.5, volts=16.0)
    assert made.doing == "running"
    made.at(13.5, volts=15.9)
    assert (made.doing, "gear_power_amber" in made.lit) == ("unsupplied", True)
    assert said(made) == "bus at 15.9 V, the motor stands still below 16 V"
    assert made.at(20.0, volts=16.2).doing == "unsupplied"
    assert made.at(23.0, volts=16.3).doing == "running"
    # 16.3 V is 67.9 steps of 0.24 V, seen as the 67 before: half of 6 s at 0.67 is 4.478 s.
    assert locked_s(made.at(60.0)) == round(13.0 + 3.0 / 0.67, 3)


def test_what_changes_nothing() -> None:
    """More than the nominal voltage, an unknown one, and a gear without a nominal one."""
    for volts in (24.0, 28.0, None):
        assert locked_s(rig().at(9.0, volts=volts).at(10.0, handle="down").at(60.0)) == 6.5
    plain = rig(nominal_v=None).at(9.0, volts=3.0).at(10.0, handle="down").at(60.0)
    assert locked_s(plain) == 6.5
    assert (plain.gear.readings, rig(breaker=True).gear.readings != ()) == ((), True)


def test_unlocking_takes_its_time_at_any_voltage() -> None:
    made = rig().at(9.0, volts=12.0).at(10.0, handle="down").at(60.0)
    assert (10.5, "nose", "extending") in made.trace
    assert locked_s(made) == 12.5


def test_noise_of_less_than_a_step_moves_nothing() -> None:
    made = rig().at(9.0, volts=18.0).at(10.0, handle="down")
    before = made.gear.facts
    for number in range(40):
        made.at(11.0 + number * 0.05, volts=18.0 + (0.2 if number % 2 else -0.2))
    assert made.gear.facts.legs[0] is not before.legs[0], "it has unlocked meanwhile"
    assert locked_s(made.at(60.0)) == 8.5


def test_the_doors_are_driven_by_the_same_motor() -> None:
    """1 s at 12 V of 24 V is 2 s: open after 2 s, the leg 0.5 + 12 s later, shut 2 s later."""
    door = DoorParameters(open_s=1.0, close_s=1.0)
    made = rig(door=door).at(9.0, volts=12.0).at(10.0, handle="down").at(60.0)
    doors = [(at_s, word) for at_s, name, word in made.trace if name == "nose_door"]
    times = [(10.0, "opening"), (12.0, "open"), (24.5, "closing"), (26.5, "closed")]
    assert doors == times
    turned = rig(door=door).at(10.0, handle="down").at(10.5, volts=12.0).at(60.0)
    assert (11.5, "nose_door", "open") in turned.trace


def test_an_emergency_extension_has_its_own_pace() -> None:
    for means in ({"means": "free_fall"}, {"means": "air"}):
        made = flying(legs=[leg(free_fall_s=6.0), RIGHT], power=ELECTRIC, emergency=means)
        made.at(9.0, volts=12.0).at(10.0, emergency=True).at(60.0)
        assert locked_s(made) == 6.5


def test_a_leg_that_falls_falls_in_its_own_time() -> None:
    falling = Leg.found(UP).drive(0.0, leg(free_fall_s=9.0), DOWN, fall=True, pace=0.5)
    assert falling.came_due(0.5, leg(free_fall_s=9.0), None).due_s == 9.5


def test_a_slow_gear_can_be_cut_off_by_its_travel_limit() -> None:
    made = rig(travel_limit_s=8.0).at(9.0, volts=12.0).at(10.0, handle="down").at(18.1)
    assert made.doing == "cut_off"


@given(
    st.lists(
        st.tuples(
            st.floats(0.01, 4.0),
            st.one_of(st.none(), st.floats(0.0, 40.0)),
            st.booleans(),
        ),
        max_size=12,
    )
)
def test_law_the_way_of_a_leg_is_conserved(moves: list[tuple[float, float | None, bool]]) -> None:
    """Driving times, each times its pace, add up to its own time; it is never faster than that."""
    made = rig(breaker=True, stall_v=10.0).at(5.0, breaker=False).at(10.0, handle="down").at(10.5)
    driven_s, before = 0.0, made.travels()[0]
    for gap_s, volts, pulled in moves:
        pace = made.gear.memory.inputs.pace if made.doing == "running" else 0.0
        made.after(gap_s, volts=volts, breaker=pulled)
        there = made.travels()[0]
        driven_s += gap_s * pace
        assert 0.0 <= there - before <= gap_s / 6.0 + 1e-9
        assert there == pytest.approx(min(driven_s / 6.0, 1.0), abs=1e-9)
        before = there
    made.after(0.0, volts=24.0, breaker=False)
    left_s = max(6.0 - driven_s, 0.0)
    assert made.after(left_s + 1e-6).facts.legs[0].is_down


@pytest.mark.parametrize(
    ("power", "key", "says"),
    [
        ({"breaker": True}, "breaker", "for an electric gear"),
        ({"nominal_v": 24.0}, "nominal_v", "for an electric gear"),
        ({"power": "electric_pack", "stall_v": 9.0}, "stall_v", "needs the nominal voltage"),
        ({**ELECTRIC, "stall_v": 24.0}, "stall_v", "would stand still"),
    ],
)
def test_numbers_that_do_not_fit_are_said(power: dict[str, Any], key: str, says: str) -> None:
    found = list(misfits_of(twin(gear_power=power)))
    assert [one.path for one in found] == [("gear_power", key)]
    assert says in found[0].what
    assert not list(misfits_of(twin(gear_power={**ELECTRIC, "stall_v": 23.9, "breaker": True})))


def test_only_an_aircraft_that_has_them_names_them() -> None:
    plain, full = twin(), twin(gear_power={**ELECTRIC, "breaker": True})
    for names, it_is in ((plain, False), (full, True)):
        assert ("gear_breaker" in switches_of(names)) is it_is
        assert ("gear_breaker_pulled" in events_of(names)) is it_is
        assert ("bus_voltage_v" in vocabulary_of(names)) is it_is
        assert any(one.values == ("bus_voltage_v",) for one in wants_of(names)) is it_is
    fed = twin(gear_power={**ELECTRIC, "breaker": True}, authority={"legs": "feed"})
    assert "gear_breaker" not in switches_of(fed), "the feed's legs have the simulator's power"
