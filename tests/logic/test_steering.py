"""Nose-wheel steering."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.steering.parameters import SteeringParameters
from tests.examples import examples
from tests.logic.build import (
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    NOT_KNOWN,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_down,
    ground,
    on_ground,
    switches,
    twin,
)
from tests.logic.test_steering_angle import stage

ALL = (True, False, None)


@pytest.mark.parametrize(
    ("button", "compressed", "leg_down"), list(product(ALL, ALL, (True, False)))
)
def test_engaged_only_with_button_weight_and_lock(
    button: bool | None, compressed: bool | None, leg_down: bool
) -> None:
    nose = stage()
    nose.after(1.0, compressed=compressed, leg_down=leg_down)
    assert not nose.facts.is_engaged
    nose.after(1.0, button=button)
    wanted = button is True and compressed is True and leg_down
    assert (nose.facts.is_engaged, len(nose.events)) == (wanted, int(wanted))


def held() -> Bench:
    bench = on_ground()
    bench.after(1.0, switches("down", steering_button=True))
    assert bench.result.commands.steering_engaged
    assert bench.result.outputs.lamps["steering_green"] > 0
    assert bench.logic.view().steering_engaged
    return bench


def test_held_is_engaged_and_released_is_not() -> None:
    bench = held()
    bench.after(1.0, switches("down"))
    assert not bench.result.commands.steering_engaged
    assert bench.result.outputs.lamps["steering_green"] == 0
    assert bench.names == ["steering_engaged", "steering_released"]


def test_a_button_found_held_counts_only_after_it_was_released() -> None:
    bench = on_ground()
    bench.after(1.0, switches("down", steering_button=None))
    bench.after(1.0, switches("down", steering_button=True))
    assert bench.names == []
    bench.after(1.0, switches("down", steering_button=False))
    bench.after(1.0, switches("down", steering_button=True))
    assert bench.names == ["steering_engaged"]


def test_a_button_lost_while_held_releases_and_found_held_does_not_engage() -> None:
    bench = held()
    bench.after(1.0, switches("down", steering_button=None))
    assert not bench.result.commands.steering_engaged
    bench.after(1.0, switches("down", steering_button=True))
    assert bench.names == ["steering_engaged", "steering_released"]


def test_weight_off_the_nose_releases_and_the_mains_do_not_matter() -> None:
    bench = held()
    bench.after(1.0, aircraft=changed(bench.aircraft, strut_compressed=(True, False, None)))
    bench.after(1.0)
    assert "steering_green" in bench.lit
    bench.after(1.0, aircraft=changed(bench.aircraft, strut_compressed=(False, True, True)))
    bench.after(1.0)
    assert not bench.result.commands.steering_engaged
    assert bench.names[-1] == "steering_released"


@pytest.mark.parametrize("anew", [True, False])
@pytest.mark.parametrize("since_the_ground", [True, False])
def test_held_in_the_air_it_needs_a_new_press_on_the_ground(
    anew: bool, since_the_ground: bool
) -> None:
    """Common practice, no source; the aircraft file may take it as it is held."""
    bench = Bench(twin(steering={"new_press_on_ground": anew}))
    held = switches("down", steering_button=True)
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN))
    if since_the_ground:
        bench.after(1.0, held)
    bench.after(1.0, aircraft=air(gear_handle=DOWN))
    bench.after(1.0, held)
    assert "steering_green" not in bench.lit
    bench.after(60.0, aircraft=ground(gear_handle=DOWN))
    bench.after(60.0)
    assert bench.result.commands.steering_engaged is not anew
    bench.after(1.0, switches("down"))
    bench.after(1.0, held)
    assert bench.result.commands.steering_engaged


def test_a_strut_that_is_lost_for_a_moment_is_no_flight() -> None:
    bench = held()
    bench.after(1.0, aircraft=changed(bench.aircraft, strut_compressed=(None, True, True)))
    assert not bench.result.commands.steering_engaged
    bench.after(1.0, aircraft=ground(gear_handle=DOWN))
    assert bench.result.commands.steering_engaged


SPEEDS = st.sampled_from([None, 0.0, 5.0, 10.0, 29.9, 30.0, 60.0, 90.0, 200.0])


@settings(max_examples=examples(25))
@given(st.lists(st.tuples(SPEEDS, SPEEDS), min_size=1, max_size=12))
def test_limit_lamp_and_angle_are_those_of_the_speed_of_this_very_step(speeds: list[Any]) -> None:
    """Never those of the speed before; a lamp of the builder's own sees the same."""
    lit_when = {"steering_limit_deg": {"at_most": 20.0}}
    slow = {"narrow_blue": {"label": "narrow", "lit_when": lit_when}}
    bench = Bench(twin(own_lamps=slow))
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN, steering_pedal_fraction=1.0))
    bench.after(1.0, switches("down", steering_button=True))
    parameters = SteeringParameters()
    for over_ground, of_air in speeds:
        state = changed(bench.aircraft, ground_speed_kt=over_ground, airspeed_kias=of_air)
        bench.after(0.01, aircraft=state)
        limit_deg = parameters.limit_deg(of_air if over_ground is None else over_ground)
        assert bench.logic.view().values["steering_limit_deg"] == limit_deg
        assert ("narrow_blue" in bench.lit) is (limit_deg <= 20.0)
        assert 0.0 <= limit_deg - (bench.result.commands.steering_deg or 0.0) < 0.5 + 1e-6


@pytest.mark.parametrize("nose", [FREE, LOCKED_UP, NOT_KNOWN])
def test_the_steered_leg_alone_must_be_locked_down(nose: object) -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN, leg_locks=(LOCKED_DOWN, FREE, FREE)))
    bench.at(1.0, switches("down", steering_button=True))
    assert bench.result.commands.steering_engaged
    others = (nose, LOCKED_DOWN, LOCKED_DOWN)
    bench.at(2.0, aircraft=changed(bench.aircraft, leg_locks=others))
    assert not bench.result.commands.steering_engaged


def test_another_leg_may_be_the_steered_one() -> None:
    bench = Bench(twin(steering={"steering_leg": "right"}))
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN, strut_compressed=(False, False, True)))
    bench.at(1.0, switches("down", steering_button=True))
    assert bench.result.commands.steering_engaged


def test_an_aircraft_without_steering_has_no_lamp_and_engages_nothing() -> None:
    bench = Bench(twin(steering={"steering_leg": None}))
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN))
    bench.at(1.0, switches("down", steering_button=True))
    assert not bench.result.commands.steering_engaged
    assert "steering_green" not in bench.result.outputs.lamps
    assert bench.names == []


def test_steering_moves_no_gear() -> None:
    """14 CFR 23.745 (before 2017): steering must not interfere with the gear."""
    plain, steered = flying_gear_down(), flying_gear_down()
    plain.at(2.0, switches("up"))
    steered.at(2.0, switches("up"))
    for number in range(100):
        plain.at(2.1 + number * 0.1)
        steered.at(2.1 + number * 0.1, switches("up", steering_button=number % 2 == 0))
        assert plain.logic.view() == steered.logic.view()
    assert plain.logged == steered.logged
