"""Hydraulics whose pressure the feed tells."""

from __future__ import annotations

import math

import pytest

from panelbridge.logic.hydraulic_parameters import CONSUMERS
from tests.logic.scenes.hydraulics import BUT_SPOILERS, Inputs, Scene, a_twin

LOW = "hydraulic_pressure_low_amber"
FLUID_LOW = "hydraulic_fluid_low_amber"


def fed(psi: float | None, **given: object) -> Scene:
    inputs: Inputs = {"engine_running": (True, True), "told_pressure_psi": psi}
    inputs.update(given)  # type: ignore[typeddict-item]
    return Scene(authority="feed", **inputs)


def test_unknown_pressure_serves_nobody_and_counts_as_low() -> None:
    scene = fed(None, aux_switch=True)
    assert scene.values["hydraulic_pressure_psi"] is None
    assert scene.system.consumers == ()
    assert scene.lit == {LOW}
    assert scene.values["aux_pump_state"] == "resting"
    assert scene.values["hydraulic_pressure_low"] is True
    assert scene.values["hydraulic_accumulator_l"] is None
    (unknown,) = scene.system.told()["pressure_unknown"]
    assert (unknown.holds, unknown.detail) == (True, "unknown")
    (low,) = scene.system.told()["pressure_low"]
    assert not low.holds
    scene.at(1.0, told_pressure_psi=3000.0)
    assert scene.psi == 3000.0
    assert scene.system.consumers == CONSUMERS
    assert scene.lit == set()
    scene.at(2.0, told_pressure_psi=math.nan)
    assert scene.values["hydraulic_pressure_psi"] is None
    assert scene.lit == {LOW}
    assert scene.names == ["hydraulic_pressure_rose", "hydraulic_pressure_fell"]


def test_before_the_first_word_the_pressure_is_unknown() -> None:
    scene = fed(None)
    system = type(scene.system)(a_twin(), authority="feed", timers=scene.timers, log=scene.log)
    assert system.conditions.pressure_unknown
    assert not system.conditions.pressure_low
    assert system.lit()[LOW]
    assert system.gauge_psi is None


@pytest.mark.parametrize(("told", "taken"), [(-5.0, 0.0), (9000.0, 3400.0), (500.0, 500.0)])
def test_told_pressure_stays_within_zero_and_relief(told: float, taken: float) -> None:
    scene = fed(told)
    assert scene.psi == taken
    assert scene.values["hydraulic_pressure_psi"] == taken


@pytest.mark.parametrize(
    ("limit", "rising", "what"),
    [
        (1500.0, False, "lamp"),
        (1800.0, True, "lamp"),
        (1100.0, False, "served"),
        (1300.0, True, "served"),
        (2475.0, False, "pump"),
        (2775.0, True, "pump"),
    ],
)
def test_each_limit_counts_as_reached_at_the_limit_itself(
    limit: float, rising: bool, what: str
) -> None:
    start = 0.0 if rising else 3000.0
    scene = fed(start, aux_switch=True)

    def state() -> object:
        if what == "lamp":
            return LOW in scene.lit
        return scene.system.serves("gear") if what == "served" else scene.system.aux_running

    before = state()
    short = limit - 1e-6 if rising else limit + 1e-6
    scene.at(1.0, told_pressure_psi=short)
    assert state() == before
    scene.at(2.0, told_pressure_psi=limit)
    assert state() != before


def test_within_a_band_and_a_step_nothing_is_to_be_done() -> None:
    scene = fed(2600.0)
    system = scene.system
    assert not system.take_pressure(1.0, 2610.0)
    assert system.pressure_psi(1.0) == 2610.0
    assert not system.take_pressure(1.0, 2600.0)
    assert system.take_pressure(2.0, 2650.0)
    assert system.take_pressure(2.0, 2650.0), "until it is updated"
    scene.at(2.0, told_pressure_psi=2650.0)
    assert system.gauge_psi == 2650.0
    assert not system.take_pressure(3.0, 2650.0)
    modelled = Scene()
    assert not modelled.system.take_pressure(1.0, 2000.0)
    modelled.at(1.0, told_pressure_psi=2000.0)
    assert modelled.psi == 0.0


def test_who_supplies_serves_and_a_dead_engine_does_not() -> None:
    scene = fed(3000.0, engine_running=(False, False), aux_switch=True)
    assert set(scene.system.consumers) == set(BUT_SPOILERS)
    scene.at(1.0, aux_switch=False)
    assert set(scene.system.consumers) == {"wheel_brakes", "parking_brake"}


def test_strokes_and_draws_do_not_change_what_is_told() -> None:
    scene = fed(3000.0)
    assert scene.spend("gear", 0.5) == 0.0
    scene.draw(gear=5.0)
    scene.at(100.0)
    assert scene.psi == 3000.0
    assert scene.values["hydraulic_reservoir_l"] == 7.2


def test_a_leak_loses_fluid_while_there_is_pressure() -> None:
    scene = fed(3000.0)
    scene.fault("hydraulics", "leaking")
    scene.at(100.0)
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(5.2)
    assert scene.values["hydraulic_lost_l"] == pytest.approx(2.0)
    scene.at(100.0, told_pressure_psi=0.0)
    scene.at(200.0)
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(5.2)
    scene.at(200.0, told_pressure_psi=3000.0)
    scene.at(365.0)
    assert scene.lit == {FLUID_LOW}
    scene.at(460.1)
    assert scene.system.faults() == ("the hydraulic reservoir is empty",)
    assert set(scene.system.consumers) == {"wheel_brakes", "parking_brake"}
    assert scene.values["hydraulic_lost_l"] == pytest.approx(7.2)


def test_unknown_pressure_neither_starts_nor_stops_the_pump() -> None:
    scene = fed(2000.0, aux_switch=True)
    scene.at(1.0, told_pressure_psi=None)
    assert scene.values["aux_pump_state"] == "pumping"
    scene.at(2.0, told_pressure_psi=2900.0)
    scene.at(3.0, told_pressure_psi=None)
    assert scene.values["aux_pump_state"] == "resting"
    scene.at(4.0, told_pressure_psi=2600.0)
    assert scene.values["aux_pump_state"] == "resting"


def test_first_known_within_the_band_asks_for_pressure() -> None:
    scene = fed(None, aux_switch=True)
    scene.at(1.0, told_pressure_psi=2600.0)
    assert scene.values["aux_pump_state"] == "pumping"
