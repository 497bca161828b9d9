"""A-14, A-20 and D-13, as far as the emergency extension alone has them."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.emergency.facts import Means
from panelbridge.logic.emergency.system import BOTTLE_FAULT, EMERGENCY_EXTEND, Emergency
from panelbridge.logic.gear.facts import GEAR_RESET
from tests.logic.test_emergency import locked_out, means_of, stage


@pytest.mark.parametrize("means", get_args(Means))
def test_it_asks_for_no_power(means: str) -> None:
    """A-14: 14 CFR 23.729(c), before 2017: it works after the failure of the power source.

    It reads nothing by which pressure, bus or the gear handle could keep it from working: its own
    switches, the failure of its bottle, and how much air the brakes have used.
    """
    air, asked = stage(means=means), set[Any]()
    (slot,) = air.loop._slots
    for handle in (True, False):
        air.after(1.0, handle=handle)
        asked |= set(slot.keys or ())
        assert means_of(air) == means
    assert {EMERGENCY_EXTEND, GEAR_RESET} < asked
    assert asked <= {*Emergency.switches, BOTTLE_FAULT, BrakesFacts}


@pytest.mark.parametrize("means", get_args(Means))
def test_nothing_retracts_until_the_reset_on_the_ground(means: str) -> None:
    """A-20: US Army TM 1-1510-224-10: no gear control is to be moved until on jacks."""
    air = stage(means=means)
    air.press("handle")
    for on_ground, gear_down in ((False, False), (False, True), (True, False)):
        air.after(10.0, on_ground=on_ground, gear_down=gear_down)
        air.press("gear_reset")
        air.press("handle")
        assert locked_out(air)
        assert air.lit >= {"retract_locked_out_amber"}
    air.after(10.0, on_ground=True, gear_down=True)
    assert locked_out(air), "only the reset ends it"
    air.press("gear_reset")
    assert not locked_out(air)
    assert "retract_locked_out_amber" not in air.lit


@pytest.mark.parametrize("means", get_args(Means))
def test_no_steering_after_it(means: str) -> None:
    """D-13: US Army TM 1-1510-253-CL: no pressure for the nose steering, do not arm it."""
    air = stage(means=means)
    assert not locked_out(air)
    air.press("handle")
    air.after(600.0, on_ground=True, gear_down=True)
    assert locked_out(air), "the steering reads the same fact"
