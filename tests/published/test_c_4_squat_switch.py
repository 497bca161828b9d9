"""C-4: FAA Airplane Flying Handbook ch. 12, fig. 12-12: the squat switch and the retract circuit.

C-1: 14 CFR 25.779(b)(2), Amdt 25-72, 55 FR 29778: down to extend. I5 of the same figure.
"""

from __future__ import annotations

import pytest

from panelbridge.logic.gear_warning.rules import GROUND_HANDLE
from panelbridge.signals import LegState
from tests.logic.build import (
    DOWN,
    UP,
    air,
    changed,
    flying_gear_down,
    flying_gear_up,
    ground,
    on_ground,
    switches,
)

SETTLE_S = 0.2


def test_handle_up_on_the_ground_keeps_the_gear_down_and_sounds_the_horn() -> None:
    """Airplane Flying Handbook fig. 12-12: "stays extended and the warning horn may sound"."""
    bench = on_ground()
    bench.at(2.0, switches("up"))
    for number in range(600):
        bench.at(2.1 + number)
        assert bench.all_locked_down
        assert bench.horn == "intermittent"
        assert bench.command == "down"
        assert len(bench.greens) == 3
    assert bench.logic.view().warning_causes == (GROUND_HANDLE,)


def test_weight_off_with_the_handle_still_up_retracts() -> None:
    """Airplane Flying Handbook fig. 12-12: the safety switch releases *and the gear retracts*."""
    bench = on_ground()
    bench.at(2.0, switches("up"))
    bench.at(5.0, aircraft=air(gear_handle=UP))
    bench.at(5.19)
    assert bench.all_locked_down
    bench.at(5.21)
    assert bench.command == "up"
    assert set(bench.leg_states) == {LegState.UNLOCKING_TO_RETRACT}
    assert bench.horn == "silent"
    bench.at(20.0)
    assert bench.all_locked_up
    assert (5.2, "gear_up_commanded", "") in bench.logged


@pytest.mark.parametrize("bounce_s", [0.001, 0.05, 0.1, 0.199])
def test_a_bounce_shorter_than_the_settling_time_unlocks_nothing(bounce_s: float) -> None:
    """Airplane Flying Handbook fig. 12-12, a wheel that hops: 1-0-1 is no take-off."""
    assert bounce_s < SETTLE_S
    bench = on_ground()
    bench.at(2.0, switches("up"))
    for number in range(20):
        bench.at(3.0 + number, aircraft=air(gear_handle=DOWN))
        bench.at(3.0 + number + bounce_s, aircraft=ground(gear_handle=DOWN))
        assert bench.all_locked_down
    bench.at(60.0)
    assert bench.all_locked_down
    assert bench.command == "down"
    assert "leg_unlocked" not in bench.names
    assert "took_off" not in bench.names


@pytest.mark.parametrize(
    "struts",
    [(True, False, False), (False, True, False), (False, False, True), (True, True, False)],
)
def test_one_strut_is_enough_to_open_the_circuit(struts: tuple[bool, ...]) -> None:
    """Airplane Flying Handbook fig. 12-12; *that one of several is enough is our own decision*."""
    bench = flying_gear_down()
    bench.at(2.0, aircraft=changed(bench.aircraft, strut_compressed=struts))
    bench.at(3.0, switches("up"))
    bench.at(60.0)
    assert bench.all_locked_down
    assert bench.command == "down"


def test_a_touch_down_with_the_handle_up_turns_the_legs_round() -> None:
    """Airplane Flying Handbook fig. 12-12; *turning round in transit is our own decision*."""
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(4.0, aircraft=ground(gear_handle=UP))
    bench.at(60.0)
    assert bench.all_locked_down


def test_down_is_down_and_up_is_up() -> None:
    """14 CFR 25.779(b)(2): "Down to extend"."""
    bench = flying_gear_up()
    bench.at(2.0, switches("down"))
    assert bench.command == "down"
    bench.at(30.0)
    assert bench.all_locked_down
    bench.at(31.0, switches("up"))
    assert bench.command == "up"
    bench.at(60.0)
    assert bench.all_locked_up
