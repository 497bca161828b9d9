"""D-6, D-7: when anti-skid works, and touchdown protection."""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.test_antiskid import FAST, STILL, active, flying, rolling, shut, stage

SPEEDS = {True: FAST, False: STILL}


@pytest.mark.parametrize(
    ("switch", "on_ground", "parked", "spun_up"), list(product((True, False), repeat=4))
)
def test_sixteen_rows(switch: bool, on_ground: bool, parked: bool, spun_up: bool) -> None:
    """D-6, common practice, no source: active = switch & that side & !park & spun up."""
    for other_side in (True, False):
        skid = stage()
        skid.after(
            1.0,
            switch=switch,
            left_on_ground=on_ground,
            right_on_ground=other_side,
            parked=parked,
            speeds=SPEEDS[spun_up],
        )
        works = switch and on_ground and not parked and spun_up
        assert active(skid)[:2] == (works, works)


def test_spun_up_is_of_the_order_of_150_revolutions_a_minute() -> None:
    """D-6, common practice, no source."""
    skid = stage(spun_up_rpm=150.0)
    skid.after(1.0, speeds=(149.0, 150.0, 151.0, 151.0))
    assert active(skid) == (False, False, True, True)


def test_inoperative_with_the_emergency_brake() -> None:
    """D-6, common practice, no source: inactive on all wheels, and nothing is let go."""
    skid = rolling()
    skid.after(1.0, emergency_braking=True)
    skid.after(1.0, speeds=(0.0, 600.0, 600.0, 600.0))
    assert active(skid) == shut(skid) == (False,) * 4


def test_a_caution_while_the_parking_brake_keeps_it_off() -> None:
    """D-6, common practice, no source: parking brake set and the switch on: a caution."""
    skid = stage()
    skid.after(1.0, parked=True)
    assert skid.lit == {"antiskid_off_amber"}


def test_pilot_braking_before_landing_is_inhibited_until_the_wheels_turn() -> None:
    """D-7: AMT Handbook, Airframe, ch. 13: pedals full in the air, at touchdown, spun up."""
    skid = flying()
    assert shut(skid) == (True,) * 4
    skid.after(1.0, left_on_ground=True, right_on_ground=True)
    assert shut(skid) == (True,) * 4
    skid.after(0.5, speeds=FAST)
    assert shut(skid) == (False,) * 4


def test_or_until_the_time_is_over() -> None:
    """D-7: AMT Handbook, Airframe, ch. 13: wheels that never spin up are free after a time."""
    skid = flying()
    skid.after(1.0, left_on_ground=True, right_on_ground=True)
    skid.after(4.9)
    assert shut(skid) == (True,) * 4
    skid.after(0.1)
    assert shut(skid) == (False,) * 4


def test_switched_off_there_is_no_protection() -> None:
    """D-7: it is a part of anti-skid; our own decision that it goes with the switch."""
    skid = flying()
    skid.after(1.0, switch=False)
    assert shut(skid) == (False,) * 4
