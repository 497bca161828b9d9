"""A-21: US Navy P-307: a loose door lights the handle; a second of rest on reversal."""

from __future__ import annotations

import pytest

from tests.logic.build import DOWN as D
from tests.logic.build import Bench, air, flying_gear_up, ground, legs, switches, twin
from tests.logic.gear_rig import DOWN, NAMES, UP, flying, three_legs


def test_three_greens_and_a_red_handle_while_a_door_is_not_latched() -> None:
    """P-307: legs down and locked, handle down, an inboard door not latched: red, three greens."""
    rig = flying(UP, legs=three_legs(door={})).after(1.0, handle="down").after(7.0)
    rig.fault("left_door", "jammed").after(60.0)
    assert rig.all_down
    assert rig.greens == set(NAMES)
    assert rig.reds == set()
    assert rig.handle_red
    rig.fault("left_door", None).after(5.0)
    assert not rig.handle_red


def test_the_whole_panel_shows_and_explains_it() -> None:
    """P-307, through the panel's logic."""
    parameters = [leg.model_dump() for leg in legs()]
    for leg in parameters:
        leg["door"] = {"close_s": 20.0}
    bench = flying_gear_up(
        twin(legs=parameters, agreement={"handle_limit_s": None, "legs_limit_s": None})
    )
    bench.at(2.0, switches("down"))
    bench.at(20.0)
    assert bench.all_locked_down
    assert bench.lit == {"nose_green", "left_green", "right_green", "handle_red"}
    told = [(one.condition, one.holds) for one in bench.logic.reasons("handle_red")]
    assert ("rule: door of the gear not latched", True) in told
    assert ("doors of the gear latched", False) in told
    bench.at(60.0)
    assert bench.lit == {"nose_green", "left_green", "right_green"}


@pytest.mark.parametrize("first", ["down", "up"])
@pytest.mark.parametrize("power", ["hydraulic", "electric_pack", "none_needed"])
def test_a_reversal_in_transit_rests_for_a_second_first(first: str, power: str) -> None:
    """P-307: motor off during (t, t + 1 s), then the other way."""
    found, other = (UP, "up") if first == "down" else (DOWN, "down")
    rig = flying(found, power={"power": power, "reversal_delay_s": 1.0})
    rig.at(10.0, handle=first).at(13.0)
    going, back = ("extending", "retracting") if first == "down" else ("retracting", "extending")
    assert rig.leg_states == [going] * 3
    rig.at(13.0, handle=other)
    stood = rig.travels()
    for now_s in (13.0, 13.001, 13.5, 13.999):
        rig.at(now_s)
        assert rig.doing == "resting"
        assert rig.leg_states == ["stopped"] * 3
        assert rig.travels() == stood
        assert rig.reds == set(NAMES)
    rig.at(14.0)
    assert rig.doing == "running"
    assert rig.leg_states == [back] * 3
    assert rig.at(60.0).doing == "idle"
    assert rig.all_up if first == "down" else rig.all_down


def test_a_gear_at_rest_does_not_rest_again() -> None:
    """P-307: the delay is one of reversal in transit: from rest it starts at once."""
    rig = flying(power={"power": "hydraulic", "reversal_delay_s": 1.0}).at(10.0, handle="down")
    assert rig.doing == "running"
    assert set(rig.leg_states) == {"unlocking_to_extend"}


def test_handle_up_on_the_ground_is_heard_and_seen_and_moves_nothing() -> None:
    """P-307: weight on, handle up: audio, red handle, no motion."""
    bench = Bench()
    bench.at(0.0, switches("down"), ground(gear_handle=D))
    bench.at(2.0, switches("up"))
    bench.at(60.0)
    assert bench.all_locked_down
    assert bench.horn != "silent"
    assert "handle_red" in bench.lit
    bench.at(61.0, switches("down"), air(gear_handle=D))
    bench.at(62.0)
    assert "handle_red" not in bench.lit
