"""A-14, the hydraulics' part: 14 CFR 23.729(c), a failure of the normal system or its power."""

from __future__ import annotations

import pytest

from tests.logic.scenes.hydraulics import Scene


@pytest.mark.parametrize("failure", ["pump", "bus", "both"])
def test_with_pump_or_bus_failed_no_supply_serves_the_gear(failure: str) -> None:
    """14 CFR 23.729(c): engines stopped and the pump or its bus failed: nothing drives the gear.

    What extends it then is the emergency system, which asks nothing of this one.
    """
    scene = Scene(aux_switch=True)
    scene.at(60.0)
    assert scene.facts.serves("gear")
    given = {} if failure == "pump" else {"bus_powered": False}
    if failure != "bus":
        scene.fault("aux_pump", "failed")
    scene.at(60.0, **given)
    assert not scene.facts.serves("gear")
    assert not scene.aux_running
    before = scene.values["hydraulic_accumulator_l"]
    scene.at(60.0, gear_l_per_s=0.1)
    scene.at(61.0, gear_l_per_s=0.0)
    assert isinstance(before, float)
    assert scene.values["hydraulic_accumulator_l"] == pytest.approx(before - 0.002), "only leaks"
    scene.at(600.0)
    assert scene.psi == 0.0
    assert scene.consumers == ()
    assert "hydraulic_pressure_low_amber" in scene.lit
