"""E-4: US Army TM 1-1510-262-10: an amber caution for low fluid, and a switch that tests it."""

from __future__ import annotations

from tests.logic.scenes.hydraulics import Scene

LAMP = "hydraulic_fluid_low_amber"


def test_low_fluid_is_an_amber_caution() -> None:
    """TM 1-1510-262-10: lit when fluid is low; no red or green lamp says so."""
    scene = Scene(engine_running=(True, True))
    assert scene.lit == set()
    scene.fault("hydraulics", "leaking")
    scene.at(400.0)
    reservoir_l = scene.values["hydraulic_reservoir_l"]
    assert isinstance(reservoir_l, float)
    assert reservoir_l < 2.0
    assert LAMP in scene.lit
    assert all(lamp.colour == "amber" for lamp in scene.system.lamps)


def test_the_switch_lights_it_while_held_and_restores_it() -> None:
    """TM 1-1510-262-10: the sensor is tested by a switch, with fluid or without."""
    for leak in (None, "leaking"):
        scene = Scene(engine_running=(True, True))
        scene.fault("hydraulics", leak)
        scene.at(400.0)
        before = scene.lit
        assert (LAMP in before) is (leak is not None)
        scene.at(401.0, fluid_test=True)
        assert scene.lit == before | {LAMP}
        scene.at(402.0, fluid_test=False)
        assert scene.lit == before
