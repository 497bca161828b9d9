"""E-1: 14 CFR 29.1435(a)(3): pressure is indicated, and does not exceed a safe limit."""

from __future__ import annotations

import pytest

from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from tests.logic.scenes.hydraulics import Scene, a_twin


def test_the_system_has_a_pressure_output_whenever_it_is_known() -> None:
    """14 CFR 29.1435(a)(3): "means to indicate the pressure in each main system"."""
    for authority in ("model", "feed"):
        scene = Scene(authority=authority, fed_psi=3000.0, engine_running=(True, True))
        scene.at(1.0)
        assert scene.values["hydraulic_pressure_psi"] == pytest.approx(3000.0)
        assert scene.gauge_psi == pytest.approx(3000.0)
        (info,) = [i for i in scene.system.values if i.name == "hydraulic_pressure_psi"]
        assert (info.unit, info.low, info.high) == ("psi", 0.0, 3400.0)


def test_the_pressure_never_exceeds_relief_with_a_pump_that_does_not_stop() -> None:
    """14 CFR 29.1435(a)(3): every supply on and the pressure switch stuck: relief, not more."""
    numbers = a_twin().model_dump()
    numbers["internal_leak_l_per_s"] = 0.0
    scene = Scene(HydraulicsParameters.model_validate(numbers), engine_running=(True, True))
    scene.fault("aux_pump", "runs_on")
    scene.at(1.0, aux_switch=True)
    highest = 0.0
    for _ in range(2000):
        scene.after(0.1)
        psi = scene.psi
        assert psi is not None
        assert psi <= 3400.0
        highest = max(highest, psi)
    assert highest == pytest.approx(3400.0, abs=1e-9)
