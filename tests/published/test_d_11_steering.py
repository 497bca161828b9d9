"""D-10 to D-13: what steers the nose wheel, and what keeps it centred."""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.build import flying_gear_down, switches
from tests.logic.test_steering_angle import engaged, stage


@pytest.mark.parametrize("partial", [0.2, 0.5, -0.4])
def test_a_partial_pedal_makes_a_partial_turn(partial: float) -> None:
    """D-11: US Navy NAVEDTRA 14018 fig. 12-15: partial pedal, partial turn, stops; neutral."""
    nose = engaged()
    nose.now(pedals=partial)
    assert nose.facts.steering_deg == partial * 50.0
    nose.after(60.0)
    assert nose.facts.steering_deg == partial * 50.0, "stops there"
    nose.now(pedals=0.0)
    assert nose.facts.steering_deg == 0.0
    nose.now(pedals=partial)
    nose.after(1.0, button=False)
    assert nose.facts.steering_deg == 0.0, "switch released: stays centred"


def test_only_with_weight_and_the_switch() -> None:
    """D-11: US Navy NAVEDTRA 14018 fig. 12-15: weight off centres it and puts the lamp out."""
    for button, compressed in product((True, False, None), (True, False, None)):
        nose = stage()
        nose.after(1.0, button=button, compressed=compressed)
        works = button is True and compressed is True
        assert (nose.facts.steering_deg, nose.lit) == (
            (50.0, {"steering_green"}) if works else (0.0, set())
        )


@pytest.mark.parametrize("pedal", [-1.0, -0.3, 0.3, 1.0])
def test_centred_while_the_nose_leg_is_not_locked_down(pedal: float) -> None:
    """D-12: US Army TM 1-1510-224-10: nose wheel centres on retraction, whatever the pedals."""
    nose = engaged()
    nose.after(1.0, leg_down=False)
    nose.now(pedals=pedal)
    assert nose.facts.steering_deg == 0.0
    assert nose.lit == set()


def test_refused_after_an_emergency_extension() -> None:
    """D-13: US Army TM 1-1510-253-CL: the steering is not available, do not arm it."""
    nose = stage()
    nose.after(1.0, available=False)
    nose.after(1.0, button=True)
    assert nose.lit == {"steering_unavailable_amber"}
    assert nose.facts.steering_deg == 0.0
    assert nose.names == ["steering_refused"]


def test_steering_does_not_interfere_with_the_gear() -> None:
    """D-10: 14 CFR 23.745(b), before 2017: the same movement with and without steering."""
    plain, steered = flying_gear_down(), flying_gear_down()
    plain.at(2.0, switches("up"))
    steered.at(2.0, switches("up"))
    for number in range(120):
        now_s = 2.1 + number * 0.1
        sweep = -1.0 + (number % 21) * 0.1
        plain.at(now_s)
        steered.at(
            now_s,
            switches("up", steering_button=number % 3 > 0, tiller=(sweep + 1.0) / 2.0),
        )
        assert plain.logic.view().legs == steered.logic.view().legs
    assert plain.logged == steered.logged
    assert plain.all_locked_up


def test_not_limited_to_low_speed() -> None:
    """D-10: 14 CFR 23.745(a), before 2017: it must not be limited to low speed."""
    nose = engaged()
    nose.now(ground_kt=140.0)
    assert nose.facts.steering_deg > 0.0
