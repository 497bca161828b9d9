"""Hydraulics whose pressure the feed reports."""

from __future__ import annotations

import math
from typing import Any

import pytest

from panelbridge.logic.hydraulics.parameters import CONSUMERS
from panelbridge.logic.hydraulics.system import Hydraulics
from panelbridge.logic.kit.aircraft_cells import HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.rule import Words
from tests.logic.scenes.hydraulics import BUT_SPOILERS, Scene, a_twin

LOW = "hydraulic_pressure_low_amber"
FLUID_LOW = "hydraulic_fluid_low_amber"


def fed(psi: float | None, **given: Any) -> Scene:
    return Scene(authority="feed", **{"engine_running": (True, True), "fed_psi": psi, **given})


def words(scene: Scene) -> Words:
    return scene.system.words(scene.loop.world(scene.now_s))


def test_unknown_pressure_serves_nobody_and_counts_as_low() -> None:
    scene = fed(None, aux_switch=True)
    assert scene.values["hydraulic_pressure_psi"] is None
    assert scene.consumers == ()
    assert scene.lit == {LOW}
    assert scene.values["aux_pump_state"] == "resting"
    assert scene.values["hydraulic_pressure_low"] is True
    assert scene.values["hydraulic_accumulator_l"] is None
    (unknown,) = words(scene)["pressure_unknown"]
    assert (unknown.holds, unknown.detail) == (True, "unknown")
    (low,) = words(scene)["pressure_low"]
    assert not low.holds
    scene.at(1.0, fed_psi=3000.0)
    assert scene.psi == 3000.0
    assert scene.consumers == CONSUMERS
    assert scene.lit == set()
    scene.at(2.0, fed_psi=math.nan)
    assert scene.values["hydraulic_pressure_psi"] is None
    assert scene.lit == {LOW}
    assert scene.taken() == ["hydraulic_pressure_rose", "hydraulic_pressure_fell"]


def test_before_the_first_update_the_pressure_is_unknown() -> None:
    system = Hydraulics(a_twin(), 2, fed=True)
    assert system.facts.pressure_unknown
    assert not system.facts.pressure_low
    assert system.lamps[0].name == LOW
    assert system.lamps[0].lit(system.facts)
    assert system.facts.gauge_psi is None


@pytest.mark.parametrize(("reported", "taken"), [(-5.0, 0.0), (9000.0, 3400.0), (500.0, 500.0)])
def test_fed_pressure_stays_within_zero_and_relief(reported: float, taken: float) -> None:
    scene = fed(reported)
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
        return scene.facts.serves("gear") if what == "served" else scene.aux_running

    before = state()
    short = limit - 1e-6 if rising else limit + 1e-6
    scene.at(1.0, fed_psi=short)
    assert state() == before
    scene.at(2.0, fed_psi=limit)
    assert state() != before


def test_within_a_band_and_a_step_the_system_is_not_woken() -> None:
    scene = fed(2600.0)
    step = scene.loop
    assert not step.set(HYDRAULIC_PRESSURE_PSI, 2610.0)
    assert scene.psi == 2610.0
    assert not step.set(HYDRAULIC_PRESSURE_PSI, 2600.0)
    assert step.set(HYDRAULIC_PRESSURE_PSI, 2650.0)
    scene.at(2.0)
    assert scene.gauge_psi == 2650.0
    assert not step.set(HYDRAULIC_PRESSURE_PSI, 2651.0)
    modelled = Scene()
    assert HYDRAULIC_PRESSURE_PSI not in {reading.of for reading in modelled.system.readings}
    modelled.at(1.0, fed_psi=2000.0)
    assert modelled.psi == 0.0


def test_the_gauge_shows_no_less_than_nothing_and_no_more_than_relief() -> None:
    scene = fed(-90.0)
    assert scene.gauge_psi == 0.0
    scene.at(1.0, fed_psi=9000.0)
    assert scene.gauge_psi == 3400.0
    assert not scene.loop.set(HYDRAULIC_PRESSURE_PSI, 4000.0)
    scene.at(2.0, fed_psi=3351.0)
    assert scene.gauge_psi == 3400.0, "within a step of relief"
    scene.at(3.0, fed_psi=3350.0)
    assert scene.gauge_psi == 3350.0


def test_who_supplies_serves_and_a_dead_engine_does_not() -> None:
    scene = fed(3000.0, engine_running=(False, False), aux_switch=True)
    assert set(scene.consumers) == set(BUT_SPOILERS)
    scene.at(1.0, aux_switch=False)
    assert set(scene.consumers) == {"wheel_brakes", "parking_brake"}


def test_draws_do_not_change_what_the_feed_reports() -> None:
    scene = fed(3000.0)
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
    scene.at(100.0, fed_psi=0.0)
    scene.at(200.0)
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(5.2)
    scene.at(200.0, fed_psi=3000.0)
    scene.at(365.0)
    assert scene.lit == {FLUID_LOW}
    scene.at(460.1)
    assert scene.system.failures() == ("the hydraulic reservoir is empty",)
    assert set(scene.consumers) == {"wheel_brakes", "parking_brake"}
    assert scene.values["hydraulic_lost_l"] == pytest.approx(7.2)


def test_unknown_pressure_neither_starts_nor_stops_the_pump() -> None:
    scene = fed(2000.0, aux_switch=True)
    scene.at(1.0, fed_psi=None)
    assert scene.values["aux_pump_state"] == "pumping"
    scene.at(2.0, fed_psi=2900.0)
    scene.at(3.0, fed_psi=None)
    assert scene.values["aux_pump_state"] == "resting"
    scene.at(4.0, fed_psi=2600.0)
    assert scene.values["aux_pump_state"] == "resting"


def test_first_known_within_the_band_asks_for_pressure() -> None:
    scene = fed(None, aux_switch=True)
    scene.at(1.0, fed_psi=2600.0)
    assert scene.values["aux_pump_state"] == "pumping"
