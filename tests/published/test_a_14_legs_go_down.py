"""A-14: 14 CFR 23.729(c), before 2017: another means of extension.

A-20: US Army TM 1-1510-224-10: nothing retracts after it.
"""

from __future__ import annotations

import pytest

from tests.logic.gear_rig import DOWN, NAMES, UP, Rig, flying, three_legs

POWERS = [{"power": "hydraulic"}, {"power": "electric_pack"}]


def dead(means: str, power: dict[str, str], handle: str) -> Rig:
    """The gear up, the pump failed, the bus off, no pressure; the handle at ``handle``."""
    rig = flying(power=power, emergency={"means": means}, legs=three_legs(door={}))
    rig.fault("gear_power", "failed").after(1.0, hydraulic=False, bus=False)
    rig.after(1.0, handle=handle).after(60.0)
    assert rig.all_up, "nothing moves it"
    return rig


@pytest.mark.parametrize("power", POWERS)
@pytest.mark.parametrize("handle", ["up", "down"])
@pytest.mark.parametrize("means", ["air", "free_fall"])
def test_it_extends_with_pump_and_bus_dead_whatever_the_handle_says(
    means: str, handle: str, power: dict[str, str]
) -> None:
    """14 CFR 23.729(c): pump failed and bus failed, emergency handle pulled: three legs down."""
    rig = dead(means, power, handle)
    rig.press("emergency").after(60.0)
    assert rig.all_down
    assert rig.greens == set(NAMES), "lamps of a bus that lives; without one they are dark"
    assert rig.doing in ("idle", "unsupplied")


@pytest.mark.parametrize("handle", ["up", "down"])
def test_a_hand_pump_extends_it_stroke_by_stroke(handle: str) -> None:
    """14 CFR 23.729(c); TM 1-1510-224-10 (pump until resistance is felt): each stroke a part."""
    rig = dead("hand_pump", POWERS[0], handle)
    rig.press("emergency").after(5.0)
    assert rig.all_up, "the handle alone moves nothing"
    strokes = 0
    while not rig.all_down:
        rig.press("hand_pump")
        moving = rig.after(0.5).travels()
        strokes += 1
        rig.after(2.0)
        still = rig.travels()
        assert rig.after(2.0).travels() == still, "between strokes nothing moves"
        assert all(there >= before for there, before in zip(still, moving, strict=True))
        assert strokes < 30
    assert strokes >= 8


@pytest.mark.parametrize("means", ["air", "free_fall", "hand_pump"])
def test_afterwards_the_handle_up_retracts_nothing_until_the_reset(means: str) -> None:
    """A-20: TM 1-1510-224-10: no retraction through any handle motion; reset on the ground."""
    rig = flying(power={"power": "hydraulic"}, emergency={"means": means})
    rig.press("emergency")
    for _ in range(20):
        rig.press("hand_pump").after(1.0)
    assert rig.all_down
    for handle in ("down", "up", "between", "up", "down", "up"):
        rig.after(0.5, handle=handle).after(30.0)
        assert rig.all_down
        assert rig.facts.demand is DOWN
        assert rig.value("gear_selection") == "locked_out"
    assert "retract_locked_out" in rig.names
    rig.press("gear_reset").after(30.0)
    assert rig.all_down, "no reset in the air"
    rig.after(1.0, handle="down").after(1.0, strut=True).press("gear_reset")
    rig.after(1.0, strut=False).after(1.0, handle="up").after(60.0)
    assert rig.all_up


def test_a_retraction_that_is_on_is_turned_round_by_the_emergency_handle() -> None:
    """14 CFR 23.729(c): whatever the gear does: down."""
    rig = flying(DOWN, power={"power": "hydraulic"}).after(1.0, handle="up").after(3.0)
    assert set(rig.leg_states) == {"retracting"}
    rig.press("emergency")
    assert set(rig.leg_states) == {"extending"}
    assert rig.after(60.0).all_down


def test_lamp_and_leg_are_two_things() -> None:
    """A-20: TM 1-1510-224-10: greens may be dark though the legs are down: a wire tells nothing."""
    rig = flying(UP).fault("nose", "down_switch_open").press("emergency").after(60.0)
    assert rig.all_down
    assert rig.greens == {"left", "right"}
