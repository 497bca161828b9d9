"""Heat of the brakes: the system by itself.

Conserved: the kinetic energy that is lost while braking is the heat that the brakes take: over all
wheels, mass of the sink times specific heat times rise = 1/2 m (v1^2 - v2^2), whatever the steps.
Limits: nothing is ever below the air, no wheel above the hottest that its brake was; heat adds up.
By hand: 6000 kg from 100 kt (51.444 m/s) to 0 are 7.9396 MJ; two wheels of 20 kg and 500 J/(kg K):
396.98 K each; with the constants 20 and 45 min the wheel peaks 29.19 min later at 0.2323 of that.
"""

from __future__ import annotations

from math import exp
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import AntiskidFacts, WheelFacts
from panelbridge.logic.brake_heat.parameters import BrakeHeatParameters
from panelbridge.logic.brake_heat.system import BrakeHeat
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import GROUND_SPEED_KT, MASS_KG
from tests.logic.build import twin
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Input, Stage

NUMBERS: dict[str, Any] = {
    "mass_kg": 6000.0,
    "heat_sink_kg": 20.0,
    "specific_heat_j_per_kg_k": 500.0,
    "ambient_c": 15.0,
    "too_hot_c": 300.0,
    "too_hot_hysteresis_c": 20.0,
    "fuse_plug_c": 100.0,
}
NAMES: dict[str, Input] = {
    "speed": GROUND_SPEED_KT,
    "mass": MASS_KG,
    "pedals": (BrakesFacts, "side_fractions"),
    "parked": (BrakesFacts, "parked_fraction"),
    "emergency": (BrakesFacts, "emergency_braking"),
    "wheels": (AntiskidFacts, "wheels"),
    "ground_for_commands": (AirGroundFacts, "ground_for_commands"),
    "all_down": (GearFacts, "all_down"),
}
RISE_K = 0.5 * 6000.0 * (100.0 * 1852.0 / 3600.0) ** 2 / (2 * 20.0 * 500.0)


def stage(**numbers: Any) -> Stage[BrakeHeat]:
    system = BrakeHeat(BrakeHeatParameters(**{**NUMBERS, **numbers}), BrakesParameters())
    made = Stage(system, NAMES, speed=100.0, all_down=True)
    made.at(0.0)
    return made


def stop(made: Stage[BrakeHeat], from_kt: int = 100, steps: int = 10) -> None:
    """A stop in so many even steps, in no time."""
    made.after(0.0, speed=float(from_kt), pedals=(1.0, 1.0))
    for step in range(1, steps + 1):
        made.after(0.0, speed=float(from_kt * (steps - step) // steps))
    made.after(0.0, pedals=(0.0, 0.0))


def brakes_c(made: Stage[BrakeHeat]) -> list[float]:
    made.hold()
    return [made.value("left_brake_c"), made.value("right_brake_c")]


def test_a_stop_by_hand() -> None:
    made = stage()
    assert brakes_c(made) == [15.0, 15.0]
    stop(made)
    assert pytest.approx(396.98, abs=0.01) == RISE_K
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K] * 2)
    assert [made.value("left_wheel_c"), made.value("right_wheel_c")] == [15.0, 15.0]
    made.after(29.1935 * 60.0)
    assert made.value("left_wheel_c") == pytest.approx(15.0 + 0.2323 * RISE_K, abs=0.1)
    assert made.value("left_wheel_c") == pytest.approx(made.value("left_brake_c"), abs=0.01)


@pytest.mark.parametrize("steps", [1, 5, 100])
def test_it_does_not_depend_on_the_steps(steps: int) -> None:
    made = stage()
    stop(made, steps=steps)
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K] * 2)


def test_heat_adds_up() -> None:
    made = stage()
    for count in (1, 2, 3):
        stop(made)
        assert brakes_c(made) == pytest.approx([15.0 + count * RISE_K] * 2)


@pytest.mark.parametrize(
    ("pressing", "shares"),
    [
        ({"pedals": (1.0, 1.0)}, (0.5, 0.5)),
        ({"pedals": (0.2, 0.2)}, (0.5, 0.5)),
        ({"pedals": (0.6, 0.2)}, (0.75, 0.25)),
        ({"pedals": (1.0, 0.0)}, (1.0, 0.0)),
        ({"parked": 0.5}, (0.5, 0.5)),
        ({"pedals": (1.0, 0.0), "parked": 0.5}, (2.0 / 3.0, 1.0 / 3.0)),
        ({"wheels": (WheelFacts(shut_off=True), WheelFacts()), "pedals": (1.0, 1.0)}, (0.0, 1.0)),
        (
            {
                "wheels": (WheelFacts(shut_off=True), WheelFacts()),
                "pedals": (1.0, 1.0),
                "emergency": True,
            },
            (0.5, 0.5),
        ),
        ({"pedals": (0.0, 0.0)}, (0.0, 0.0)),
        ({"pedals": (1.0, 1.0), "ground_for_commands": False}, (0.0, 0.0)),
    ],
)
def test_the_wheels_share_it_as_they_brake(
    pressing: dict[str, Any], shares: tuple[float, float]
) -> None:
    made = stage()
    made.after(1.0, **pressing)
    made.after(1.0, speed=0.0)
    assert brakes_c(made) == pytest.approx([15.0 + 2.0 * RISE_K * share for share in shares], 1e-3)


def test_only_what_is_lost_while_braking_counts() -> None:
    made = stage()
    made.after(1.0, speed=80.0)
    made.after(0.0, pedals=(1.0, 1.0))
    made.after(0.0, speed=60.0)
    made.after(0.0, pedals=(0.0, 0.0))
    made.after(0.0, speed=0.0)
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K * (0.64 - 0.36)] * 2)


def test_a_drop_that_comes_with_the_release_belongs_to_the_braking() -> None:
    made = stage()
    made.after(0.0, pedals=(1.0, 1.0))
    made.after(0.0, speed=0.0, pedals=(0.0, 0.0))
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K] * 2)


def test_a_gain_and_the_noise_of_the_speed_heat_nothing() -> None:
    made = stage()
    made.after(0.0, pedals=(1.0, 1.0))
    for _ in range(50):
        made.after(0.0, speed=100.4)
        made.after(0.0, speed=99.6)
    assert brakes_c(made) == [15.0, 15.0]
    made.after(0.0, speed=110.0)
    made.after(0.0, speed=100.0)
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K * 0.21] * 2)


def test_a_speed_that_is_lost_is_made_up_for() -> None:
    made = stage()
    made.after(0.0, pedals=(1.0, 1.0))
    made.after(0.0, speed=None)
    assert brakes_c(made) == [15.0, 15.0]
    made.after(0.0, speed=0.0)
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K] * 2)


def test_the_mass_of_the_feed_counts_before_that_of_the_file() -> None:
    made = stage()
    made.after(0.0, mass=3000.0)
    stop(made)
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K / 2.0] * 2)
    made = stage(brakes_share_fraction=0.25)
    made.after(0.0, mass=0.0)
    stop(made)
    assert brakes_c(made) == pytest.approx([15.0 + RISE_K / 4.0] * 2), "no mass is no mass"


def test_too_hot_begins_at_once_and_does_not_end_while_a_wheel_heats_up() -> None:
    made = stage(fuse_plug_c=None)
    stop(made)
    assert made.lit == {"brake_hot_amber"}
    assert made.names == ["brakes_too_hot"]
    made.after(15.0 * 60.0)
    assert made.value("left_brake_c") < 280.0
    assert made.lit == {"brake_hot_amber"}
    made.hold()
    made.after(30.0 * 60.0)
    assert made.lit == set()
    ended = made.events[-1]
    assert ended.name == "brakes_cooled"
    assert ended.time_s / 60.0 == pytest.approx(29.19, abs=0.01)


def test_it_begins_above_its_limit_and_ends_below_its_band() -> None:
    made = stage(wheel_cooling_min=600.0, brake_cooling_min=400.0, fuse_plug_c=None)
    stop(made, from_kt=84)
    assert brakes_c(made)[0] == pytest.approx(15.0 + RISE_K * 0.7056)
    assert made.lit == set(), "295 degrees"
    stop(made, from_kt=20)
    assert made.lit == {"brake_hot_amber"}
    made = stage(brake_cooling_min=20.0, wheel_cooling_min=22.0, too_hot_c=60.0, fuse_plug_c=None)
    stop(made, from_kt=36)
    assert made.lit == {"brake_hot_amber"}, "66 degrees"
    made.after(3600.0)
    ended_s = made.events[-1].time_s
    brake = made.facts.wheels[0].brake
    assert brake.at(ended_s) < 40.0
    assert stage(too_hot_c=None).system.lamps[0].name == "fuse_plug_amber"


def test_a_fuse_plug_melts_long_after_the_stop_and_once() -> None:
    made = stage()
    stop(made)
    assert made.value("left_fuse_plug") == "whole"
    made.after(3.0 * 3600.0)
    melted = [one for one in made.events if one.name == "fuse_plug_melted"]
    assert [one.subject for one in melted] == ["left", "right"]
    after_min = melted[0].time_s / 60.0
    assert 10.0 < after_min < 29.2
    wheel = made.facts.wheels[0].wheel
    assert wheel.at(melted[0].time_s) == pytest.approx(100.0, abs=1e-3)
    assert made.value("left_fuse_plug") == "melted"
    assert made.lit == {"fuse_plug_amber"}
    made.hold()
    stop(made)
    made.after(3.0 * 3600.0)
    assert made.names.count("fuse_plug_melted") == 2, "a melted plug is not whole again"


def test_one_plug_of_two() -> None:
    made = stage()
    made.after(0.0, pedals=(1.0, 0.0))
    made.after(0.0, speed=0.0)
    made.after(0.0, pedals=(0.0, 0.0))
    made.after(3600.0)
    assert [made.value("left_fuse_plug"), made.value("right_fuse_plug")] == ["melted", "whole"]
    words = made.system.words(made.loop.world(made.now_s))
    assert words["is_melted"][0].detail == "left"


def test_it_cools_faster_in_flight_with_the_gear_down() -> None:
    left = {}
    for all_down in (True, False):
        made = stage(flight_cooling_factor=3.0, fuse_plug_c=None)
        stop(made)
        made.after(0.0, ground_for_commands=False, all_down=all_down)
        made.after(600.0)
        left[all_down] = (made.value("left_brake_c") - 15.0) / RISE_K
    assert left == {True: pytest.approx(exp(-1.5)), False: pytest.approx(exp(-0.5))}


def test_no_plugs_no_heat_and_misfits() -> None:
    made = stage(fuse_plug_c=None)
    assert "left_fuse_plug" not in {one.name for one in made.system.values}
    (misfit,) = BrakeHeat.misfits(twin(brake_heat={}))
    assert (misfit.path, misfit.is_key) == (("brake_heat",), True)
    with pytest.raises(
        ValidationError, match=r"wheel_cooling_min is 21\.0 and must be 22\.0 or more"
    ):
        BrakeHeatParameters(brake_cooling_min=20.0, wheel_cooling_min=21.0)


def test_the_reasons_hold_values_against_limits() -> None:
    made = stage()
    words = made.system.words(made.loop.world(made.now_s))
    assert words["too_hot"][0].detail == "15.00 <= 300.00 deg C"
    stop(made)
    words = made.system.words(made.loop.world(made.now_s))
    assert words["too_hot"][0].detail == "411.98 > 280.00 deg C, a wheel still heats up"


MOVES = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.5, 60.0, 900.0, 4000.0]),
        st.one_of(
            st.fixed_dictionaries(
                {"speed": st.sampled_from([None, float("nan"), 0.0, 30.0, 90.0, 140.0])}
            ),
            st.fixed_dictionaries(
                {"pedals": st.sampled_from([(0.0, 0.0), (1.0, 1.0), (0.3, 0.9)])}
            ),
            st.fixed_dictionaries(
                {"ground_for_commands": st.booleans(), "all_down": st.booleans()}
            ),
            st.fixed_dictionaries({"parked": st.sampled_from([0.0, 1.0])}),
        ),
    ),
    max_size=20,
)


@settings(deadline=None)
@given(moves=MOVES)
def test_laws(moves: list[Any]) -> None:
    """Never below the air; a brake rises by braking alone; a wheel is never the hottest of all."""
    made = stage(flight_cooling_factor=2.0)
    hottest = 15.0
    for wait_s, changes in moves:
        before = [one.brake.at(made.now_s + wait_s) for one in made.facts.wheels]
        braked = any(made.system.memory.shares)
        melted = made.facts.is_melted
        made.after(wait_s, **changes)
        now = brakes_c(made)
        hottest = max(hottest, *now)
        for was, one in zip(before, now, strict=True):
            assert one >= 15.0 - 1e-9
            assert one <= was + 1e-6 or braked
        for one in made.facts.wheels:
            assert 15.0 - 1e-9 <= one.wheel.at(made.now_s) <= hottest + 1e-6
        assert made.facts.is_melted or not melted, "latched"
        assert ("brake_hot_amber" in made.lit) or max(now) <= 300.0


@settings(deadline=None)
@given(moves=MOVES, fine=st.integers(1, 3))
def test_more_steps_change_nothing(moves: list[Any], fine: int) -> None:
    extra_looks_change_nothing(stage, moves, fine)


@settings(deadline=None)
@given(moves=MOVES, cut=st.integers(0, 20))
def test_restored_it_goes_on_the_same(moves: list[Any], cut: int) -> None:
    restored_goes_on_the_same(stage, moves, cut)
