"""E-3: US Army TM 55-1510-222-10: accumulator precharge 800 +/-50 psi."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from panelbridge.logic.hydraulics.parameters import AccumulatorParameters
from tests.logic.scenes.hydraulics import Scene


def charged(psi: float) -> AccumulatorParameters:
    return AccumulatorParameters(
        precharge_psi=psi, precharge_least_psi=750.0, precharge_most_psi=850.0
    )


@pytest.mark.parametrize("psi", [740.0, 860.0])
def test_740_and_860_are_out_of_limits(psi: float) -> None:
    """TM 55-1510-222-10: 800 +/-50 psi; here an error in the aircraft's file."""
    with pytest.raises(ValidationError, match=r"is above precharge(_most)?_psi"):
        charged(psi)


@pytest.mark.parametrize("psi", [750.0, 800.0, 850.0])
def test_750_and_850_are_within(psi: float) -> None:
    """TM 55-1510-222-10: the limits themselves are within."""
    assert charged(psi).precharge_psi == psi


def test_pressure_is_never_below_precharge_while_fluid_remains() -> None:
    """TM 55-1510-222-10: p*V is constant (Boyle) down to the last drop, then there is none."""
    scene = Scene(engine_running=(True, True))
    scene.at(0.0, engine_running=(False, False))
    seen = set()
    for _ in range(4000):
        scene.after(0.1)
        psi, fluid_l = scene.psi, scene.values["hydraulic_accumulator_l"]
        assert psi is not None
        assert isinstance(fluid_l, float)
        seen.add(fluid_l > 0.0)
        if fluid_l > 0.0:
            assert psi >= 800.0
            assert (psi + 14.7) * (1.0 - fluid_l) == pytest.approx(814.7 * 1.0), "absolute"
        else:
            assert psi == 0.0
    assert seen == {True, False}
