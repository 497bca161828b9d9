"""Nose-wheel steering."""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.build import (
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    NOT_KNOWN,
    Bench,
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


def test_pressed_in_the_air_it_engages_when_the_nose_wheel_touches() -> None:
    bench = flying_gear_down()
    bench.after(1.0, switches("down", steering_button=True))
    assert "steering_green" not in bench.lit
    bench.after(1.0, aircraft=ground(gear_handle=DOWN))
    bench.after(1.0)
    assert bench.result.commands.steering_engaged


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
