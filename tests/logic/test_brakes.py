"""Brakes: pedals, parking brake, emergency brake, stored energy."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any

import pytest
from pydantic import ValidationError

from panelbridge.logic.antiskid.facts import AntiskidFacts, WheelFacts
from panelbridge.logic.brakes.facts import BRAKE_STEPS, LEFT_BRAKE, RIGHT_BRAKE
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import BrakePedals, follow_travel, greater_known
from panelbridge.logic.brakes.system import (
    ACCUMULATOR_FAULT,
    EMERGENCY_BRAKE,
    PARKING_BRAKE,
    PARKING_FAULT,
    Brakes,
)
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import brake_pedal, brake_pressure_psi
from tests.logic.spread_stage import Spread, SpreadStage
from tests.logic.stage import Input

NUMBERS: dict[str, Any] = {
    "wheels": [
        {"name": "left_outer", "side": "left"},
        {"name": "left_inner", "side": "left"},
        {"name": "right_inner", "side": "right"},
        {"name": "right_outer", "side": "right"},
    ],
    "full_psi": 1000.0,
    "pedal_free_fraction": 0.0,
    "pedal_full_fraction": 1.0,
    "full_applications": 8.0,
    "low_applications": 2.0,
    "recharge_s": 80.0,
    "parking_set_fraction": 0.9,
    "parking_released_fraction": 0.1,
    "parking_hold_psi": 400.0,
    "parking_residual_psi": 100.0,
    "parking_bleed_psi_per_min": 60.0,
}
NAN = float("nan")


NAMES: dict[str, Input] = {
    "left": LEFT_BRAKE,
    "right": RIGHT_BRAKE,
    "feed_left": brake_pedal(0),
    "feed_right": brake_pedal(1),
    "left_psi": brake_pressure_psi(0),
    "right_psi": brake_pressure_psi(1),
    "parking_lever": PARKING_BRAKE,
    "emergency_lever": EMERGENCY_BRAKE,
    "parking_brake": PARKING_FAULT,
    "brake_accumulator": ACCUMULATOR_FAULT,
    "wheel_brakes_served": (HydraulicsFacts, "served", 0),
    "parking_brake_served": (HydraulicsFacts, "served", 1),
    "has_air": (EmergencyFacts, "has_air"),
}


def pair(first: str, second: str) -> Any:
    """Two cells; what is not there is unknown."""
    return lambda both: dict(zip((first, second), (*both, None, None), strict=False))


SPREAD: Spread = {
    "pedals": pair("left", "right"),
    "feed_pedals": pair("feed_left", "feed_right"),
    "fed_psi": pair("left_psi", "right_psi"),
    "has_pressure": lambda has: {"wheel_brakes_served": "wheel_brakes" if has else None},
    "has_parking_pressure": lambda has: {"parking_brake_served": "parking_brake" if has else None},
}


def stage(*, fed_pressure: bool = False, first: bool = True, **numbers: Any) -> SpreadStage[Brakes]:
    """With pressure and air, nothing pressed, the levers released."""
    parameters = BrakesParameters.model_validate({**NUMBERS, **numbers})
    made = SpreadStage(
        Brakes(parameters, fed_pressure=fed_pressure),
        NAMES,
        SPREAD,
        beside=[BrakePedals(parameters)],
        pedals=(0.0, 0.0),
        parking_lever=0.0,
        emergency_lever=0.0,
        has_pressure=True,
        has_parking_pressure=True,
        has_air=True,
    )
    if first:
        made.at(0.0)
    return made


def without_power(**more: Any) -> SpreadStage[Brakes]:
    brakes = stage(**more)
    brakes.at(1.0, has_pressure=False, has_parking_pressure=False)
    return brakes


def left(brakes: SpreadStage[Brakes]) -> Any:
    return brakes.value("brake_applications_left")


def braked(brakes: SpreadStage[Brakes], shut: Sequence[bool] = ()) -> tuple[float, ...]:
    """How much each wheel is braked, with some of them shut off by anti-skid."""
    (command,) = (one for one in brakes.system.commands if one.name == "brake_fraction")
    wheels = AntiskidFacts(wheels=tuple([WheelFacts(shut_off=off) for off in shut]))
    fractions = command.read(brakes.loop.world(brakes.now_s).having({AntiskidFacts: wheels}))
    assert isinstance(fractions, tuple)
    return fractions


def sides(brakes: SpreadStage[Brakes]) -> tuple[float, float]:
    """How much the pedals or the emergency brake press on the left and right."""
    left, right = brakes.facts.side_fractions
    return left, right


def holds(brakes: SpreadStage[Brakes]) -> bool:
    """The parking brake holds."""
    return brakes.facts.parking_holds is True


def air_used(brakes: SpreadStage[Brakes]) -> float:
    """What the emergency brake has used since the beginning, full applications."""
    return float(brakes.facts.air_steps) / BRAKE_STEPS


def details(brakes: SpreadStage[Brakes]) -> dict[str, str]:
    """The details of all reasons."""
    words = brakes.system.words(brakes.loop.world(brakes.now_s))
    return {field: reasons[0].detail for field, reasons in words.items()}


def pulled(brakes: SpreadStage[Brakes]) -> bool:
    """The emergency brake presses the brakes."""
    return brakes.facts.emergency_braking is True


def is_parked(brakes: SpreadStage[Brakes]) -> bool:
    """Anti-skid has to wait for the parking brake."""
    return brakes.facts.is_parked is True


# -- pedals ---------------------------------------------------------------------------------------


def test_each_pedal_brakes_the_wheels_of_its_side() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 0.5))
    assert braked(brakes) == (1.0, 1.0, 0.5, 0.5)
    assert sides(brakes) == (1.0, 0.5)
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (1000.0, 500.0)
    brakes.after(1.0, pedals=(0.0, None))
    assert braked(brakes) == (0.0,) * 4
    assert brakes.names == []


@pytest.mark.parametrize(
    ("panel", "feed", "fractions"),
    [
        ((0.5, 0.2), (0.3, 0.4), (0.5, 0.4)),
        ((None, None), (0.3, 0.4), (0.3, 0.4)),
        ((0.5, None), (), (0.5, 0.0)),
        ((0.5, 0.2), (None, NAN), (0.5, 0.2)),
        ((NAN, None), (None,), (0.0, 0.0)),
    ],
)
def test_the_greater_known_pedal_counts(
    panel: tuple[float | None, float | None],
    feed: tuple[float | None, ...],
    fractions: tuple[float, float],
) -> None:
    brakes = stage()
    brakes.after(1.0, pedals=panel, feed_pedals=feed)
    assert sides(brakes) == pytest.approx(fractions)


def test_before_anything_was_looked_at() -> None:
    brakes = stage(first=False)
    assert brakes.lit == {"parking_brake_amber"}
    assert braked(brakes) == (0.0,) * 4
    assert {one.name: brakes.value(one.name) for one in brakes.system.values} == {
        "left_brake_psi": 0.0,
        "right_brake_psi": 0.0,
        "brake_applications_left": 8.0,
        "parking_brake_state": None,
    }
    assert brakes.facts.trapped is False


def followed(
    fractions: Sequence[float | None], free_fraction: float = 0.0, full_fraction: float = 1.0
) -> list[int]:
    """The step after each place of the travel."""
    numbers = {"pedal_free_fraction": free_fraction, "pedal_full_fraction": full_fraction}
    parameters, steps = BrakesParameters.model_validate(numbers), [0]
    for fraction in fractions:
        steps.append(follow_travel(fraction, steps[-1], parameters))
    return steps[1:]


def test_free_and_full_travel() -> None:
    way = (0.1, 0.2, 0.5, 0.799, 0.8, 1.0, 1.7, 0.5, 0.2, 0.0, -1.0)
    reported = dict(zip(way, followed(way, 0.2, 0.8), strict=True))
    assert reported == {
        0.1: 0,
        0.2: 0,
        0.5: 10,
        0.799: 19,
        0.8: 20,
        1.0: 20,
        1.7: 20,
        0.0: 0,
        -1.0: 0,
    }


def test_noise_of_less_than_a_step_moves_nothing() -> None:
    noise = (0.549, 0.46, 0.5, 0.53, 0.451)
    assert followed((0.52, *noise, 0.55, 0.5, None)) == [10, *[10] * 5, 11, 10, 0]


def test_steps_do_not_depend_on_how_often_the_travel_is_read() -> None:
    way = [number / 1000 for number in [*range(0, 940, 7), *range(940, 310, -9)]]
    for every in (1, 2, 5, 11):
        fractions = [*way[:134:every], way[134], *way[135:-1:every], way[-1]]
        assert followed(fractions)[-1] == 7, every


def test_greater_known() -> None:
    assert greater_known(None, None) is None
    assert greater_known(None, 0.2) == greater_known(0.2, None) == 0.2
    assert greater_known(0.3, 0.2) == greater_known(0.2, 0.3) == 0.3


# -- stored energy --------------------------------------------------------------------------------


def apply(brakes: SpreadStage[Brakes], fraction: float = 1.0) -> float:
    """Both pedals down and up; how much braked the left wheels."""
    brakes.after(1.0, pedals=(fraction, fraction))
    reached = braked(brakes)[0]
    assert braked(brakes) == (reached,) * 4
    brakes.after(1.0, pedals=(0.0, 0.0))
    return reached


def test_with_pressure_nothing_stored_is_used() -> None:
    brakes = stage()
    assert [apply(brakes) for _ in range(20)] == [1.0] * 20
    assert left(brakes) == 8.0


def test_each_full_application_takes_one_until_none_is_left() -> None:
    brakes = without_power()
    reported = []
    for _ in range(10):
        reached = apply(brakes)
        reported.append((reached, left(brakes), brakes.lit))
    low = {"brake_energy_low_amber"}
    assert reported == [
        *[(1.0, 8.0 - number, set()) for number in range(1, 6)],
        (1.0, 2.0, low),
        (1.0, 1.0, low),
        (1.0, 0.0, low),
        (0.0, 0.0, low),
        (0.0, 0.0, low),
    ]
    assert brakes.names == ["brake_energy_low"]


def test_small_ones_take_in_proportion_to_what_they_rise_by() -> None:
    brakes = without_power()
    brakes.after(1.0, pedals=(0.5, 0.0))
    assert left(brakes) == 7.75
    brakes.after(1.0, pedals=(0.5, 1.0))
    assert left(brakes) == 7.25
    brakes.after(1.0, pedals=(0.75, 1.0))
    assert left(brakes) == 7.125
    brakes.after(100.0)
    assert left(brakes) == 7.125, "what presses is shut in"
    brakes.after(1.0, pedals=(0.25, 0.0))
    assert left(brakes) == 7.125, "letting go takes nothing"


@pytest.mark.parametrize(
    ("stored", "pedals", "fractions"),
    [
        (0.5, (1.0, 1.0), (0.5, 0.5)),
        (0.5, (1.0, 0.2), (0.8, 0.2)),
        (0.5, (0.2, 1.0), (0.2, 0.8)),
        (0.025, (1.0, 1.0), (0.0, 0.05)),
        (0.0, (1.0, 1.0), (0.0, 0.0)),
        (1.0, (1.0, 1.0), (1.0, 1.0)),
    ],
)
def test_what_is_there_for_less_than_all_is_shared_evenly(
    stored: float, pedals: tuple[float, float], fractions: tuple[float, float]
) -> None:
    brakes = without_power(full_applications=stored)
    brakes.after(1.0, pedals=pedals)
    assert sides(brakes) == fractions
    assert left(brakes) == pytest.approx(stored - sum(fractions) / 2)


def test_pressure_that_comes_back_presses_what_the_pedals_ask() -> None:
    brakes = without_power(full_applications=0.0)
    brakes.after(1.0, pedals=(1.0, 0.5))
    assert braked(brakes) == (0.0,) * 4
    brakes.after(1.0, has_pressure=True)
    assert sides(brakes) == (1.0, 0.5)


@pytest.mark.parametrize("rate_hz", [0.02, 1.0, 9.0])
def test_it_fills_evenly_and_the_caution_ends_at_its_time(rate_hz: float) -> None:
    """Eight applications in 80 s: beyond two after 20 s, full after 80 s."""
    brakes = stage()
    brakes.fault("brake_accumulator", "empty")
    brakes.fault("brake_accumulator", None)
    brakes.at(1.0, has_pressure=False)
    for _ in range(8):
        apply(brakes)
    start_s = brakes.now_s
    brakes.at(start_s, has_pressure=True)
    for number in range(1, int(100 * rate_hz) + 1):
        brakes.at(start_s + number / rate_hz)
        passed_s = number / rate_hz
        assert left(brakes) == pytest.approx(min(passed_s / 10.0, 8.0))
        if abs(passed_s - 20.0) > 1e-6:
            assert ("brake_energy_low_amber" in brakes.lit) is (passed_s < 20.0)
    assert left(brakes) == 8.0
    assert brakes.loop.next_due_s == inf


def test_filling_waits_for_each_limit_in_turn() -> None:
    brakes = without_power()
    for _ in range(8):
        apply(brakes)
    start_s = brakes.now_s
    brakes.at(start_s, has_pressure=True)
    waited = []
    assert brakes.lit == {"brake_energy_low_amber"}
    for _ in range(2):
        waited.append(brakes.loop.next_due_s - start_s)
        brakes.at(start_s + waited[-1])
        assert brakes.lit == set(), "at that very time"
    assert waited == pytest.approx([20.0, 80.0])
    assert left(brakes) == 8.0
    assert brakes.loop.next_due_s == inf


def test_filling_from_the_limit_ends_the_caution_at_once() -> None:
    brakes = without_power()
    for _ in range(6):
        apply(brakes)
    assert (left(brakes), brakes.lit) == (2.0, {"brake_energy_low_amber"})
    brakes.after(1.0, has_pressure=True)
    brakes.after(1e-6)
    assert brakes.lit == set()
    brakes.after(60.0)
    assert left(brakes) == 8.0


def test_filling_that_is_cut_off_stops_where_it_is() -> None:
    brakes = without_power()
    for _ in range(8):
        apply(brakes)
    brakes.after(0.0, has_pressure=True)
    brakes.after(10.0, has_pressure=False)
    assert left(brakes) == pytest.approx(1.0)
    brakes.after(1000.0)
    assert left(brakes) == pytest.approx(1.0)


def test_an_empty_accumulator_holds_nothing_until_mended() -> None:
    brakes = stage()
    brakes.fault("brake_accumulator", "empty")
    assert brakes.lit == {"brake_energy_low_amber"}
    brakes.after(1000.0)
    assert left(brakes) == 0.0, "it does not fill"
    brakes.after(1.0, has_pressure=False)
    assert apply(brakes) == 0.0
    brakes.fault("brake_accumulator", None)
    assert (left(brakes), brakes.lit) == (8.0, set())


def test_brakes_that_press_themselves_need_nothing() -> None:
    brakes = without_power(needs_hydraulics=False)
    assert [apply(brakes) for _ in range(20)] == [1.0] * 20
    assert "brake_energy_low_amber" not in {lamp.name for lamp in brakes.system.lamps}
    assert "brake_applications_left" not in {one.name for one in brakes.system.values}
    assert {one.name for one in brakes.system.faults} == {"parking_brake"}
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(100000.0)
    assert holds(brakes)
    assert brakes.names == ["parking_brake_set"]


# -- parking brake --------------------------------------------------------------------------------


def parked(brakes: SpreadStage[Brakes]) -> tuple[Any, bool, bool, float]:
    """Its word, whether it holds, whether the lamp is lit, how much brakes the first wheel."""
    lamp = "parking_brake_amber" in brakes.lit
    return brakes.value("parking_brake_state"), holds(brakes), lamp, braked(brakes)[0]


def test_set_held_and_released() -> None:
    brakes = stage()
    assert parked(brakes) == ("released", False, False, 0.0)
    assert not is_parked(brakes)
    brakes.after(1.0, parking_lever=0.5)
    assert parked(brakes) == ("partly", False, True, 0.0)
    assert is_parked(brakes)
    brakes.after(1.0, parking_lever=0.9)
    assert parked(brakes) == ("set", True, True, 1.0)
    brakes.after(36000.0)
    assert parked(brakes) == ("set", True, True, 1.0), "without attention"
    brakes.after(1.0, parking_lever=0.2)
    assert parked(brakes) == ("partly", True, True, 1.0), "a valve: as it was"
    brakes.after(1.0, parking_lever=0.1)
    assert parked(brakes) == ("released", False, False, 0.0)
    assert brakes.names == ["parking_brake_set", "parking_brake_released"]
    assert brakes.value("left_brake_psi") == 0.0


def test_it_cannot_be_set_without_pressure() -> None:
    brakes = without_power(full_applications=0.0)
    brakes.after(1.0, parking_lever=1.0)
    assert parked(brakes) == ("not_set", False, True, 0.0)
    brakes.after(1.0)
    assert brakes.names[1:] == ["parking_brake_not_set"], "reported once"
    brakes.after(1.0, parking_lever=0.0)
    brakes.after(1.0, parking_lever=1.0)
    assert brakes.names[1:] == ["parking_brake_not_set"] * 2
    brakes.after(1.0, has_parking_pressure=True)
    assert parked(brakes) == ("set", True, True, 1.0)


@pytest.mark.parametrize(
    ("stored", "set_by_it", "rest"),
    [(8.0, True, 7.0), (1.0, True, 0.0), (0.5, True, 0.0), (0.4, False, 0.4), (0.0, False, 0.0)],
)
def test_the_accumulator_can_set_it(stored: float, set_by_it: bool, rest: float) -> None:
    brakes = without_power(full_applications=stored)
    brakes.after(1.0, parking_lever=1.0)
    assert holds(brakes) is set_by_it
    assert left(brakes) == rest
    if set_by_it:
        assert brakes.value("left_brake_psi") == min(stored, 1.0) * 1000.0


def test_with_its_own_pressure_the_accumulator_gives_nothing() -> None:
    brakes = stage()
    brakes.after(1.0, has_pressure=False, has_parking_pressure=True)
    brakes.after(1.0, parking_lever=1.0)
    assert left(brakes) == 8.0


@pytest.mark.parametrize("rate_hz", [0.01, 1.0, 3.0])
def test_without_pressure_it_bleeds_down_along_a_line(rate_hz: float) -> None:
    """1000 psi at 60 psi a minute; 400 psi, the least that holds, after ten minutes."""
    brakes = stage()
    brakes.at(10.0, parking_lever=1.0)
    brakes.at(100.0, has_parking_pressure=False, has_pressure=False)
    for number in range(1, int(1100 * rate_hz) + 1):
        passed_s = number / rate_hz
        brakes.at(100.0 + passed_s)
        psi = max(1000.0 - passed_s, 0.0)
        assert brakes.value("left_brake_psi") == pytest.approx(psi, abs=1e-6)
        assert holds(brakes) is (passed_s < 600.0)
        step = (psi + 49.9) // 50 / 20
        assert braked(brakes)[0] == pytest.approx(step)
        assert "parking_brake_amber" in brakes.lit
    assert brakes.logged[1:] == [(700.0, "parking_brake_bled_down", "")]
    assert parked(brakes) == ("bled_down", False, True, 0.0)
    brakes.after(1.0, has_parking_pressure=True)
    assert parked(brakes) == ("set", True, True, 1.0)


def test_the_last_of_the_pressure_bleeds_down_too() -> None:
    brakes = stage()
    brakes.at(10.0, parking_lever=1.0)
    brakes.at(100.0, has_parking_pressure=False)
    brakes.at(1099.5, pedals=(0.5, 0.0))
    assert brakes.value("right_brake_psi") == pytest.approx(0.5)
    brakes.at(1101.0)
    assert brakes.value("right_brake_psi") == 0.0


def test_each_step_of_the_bleeding_comes_at_its_own_time() -> None:
    brakes = stage()
    brakes.at(0.0, parking_lever=1.0, has_parking_pressure=True)
    brakes.at(0.0, has_parking_pressure=False)
    assert brakes.loop.next_due_s == 50.0
    brakes.at(50.0)
    assert braked(brakes)[0] == 0.95
    assert brakes.loop.next_due_s == 100.0


def test_a_lever_that_is_found_set_has_held_before() -> None:
    brakes = stage(first=False)
    brakes.at(0.0, parking_lever=None, has_pressure=False, has_parking_pressure=False)
    assert parked(brakes) == (None, False, True, 0.0)
    assert not is_parked(brakes)
    brakes.at(1.0, parking_lever=1.0)
    assert parked(brakes) == ("set", True, True, 1.0)
    assert left(brakes) == 8.0
    assert brakes.names == []


@pytest.mark.parametrize("lost", [None, NAN])
def test_a_lever_that_was_lost_leaves_the_brake_as_it_was(lost: float | None) -> None:
    brakes = stage()
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(1.0, parking_lever=lost)
    assert parked(brakes) == (None, True, True, 1.0)
    assert is_parked(brakes)
    brakes.after(1.0, parking_lever=0.0)
    brakes.after(1.0, parking_lever=lost)
    assert parked(brakes) == (None, False, True, 0.0)
    brakes.after(1.0, parking_lever=1.0, has_pressure=False, has_parking_pressure=False)
    assert left(brakes) == 7.0, "found set again: no longer for nothing"


def test_trapped_pressure_shows_brakes_and_bleeds_down() -> None:
    brakes = stage()
    brakes.at(1.0, parking_lever=1.0)
    brakes.fault("parking_brake", "sticking")
    assert parked(brakes) == ("set", True, True, 1.0)
    brakes.at(100.0, parking_lever=0.0)
    assert parked(brakes) == ("trapped", True, True, 1.0)
    assert brakes.system.failures() == ("pressure is trapped in the released brakes",)
    assert brakes.lit == {"parking_brake_amber"}
    assert is_parked(brakes)
    brakes.at(999.9)
    assert parked(brakes) == ("trapped", False, True, 0.15)
    brakes.at(1000.0)
    assert parked(brakes) == ("released", False, False, 0.1)
    assert not is_parked(brakes)
    assert brakes.system.failures() == ()
    assert brakes.names == ["parking_brake_set", "parking_brake_trapped"]


def test_a_stuck_valve_that_is_mended_lets_go_and_can_be_set_over() -> None:
    brakes = stage()
    brakes.fault("parking_brake", "sticking")
    brakes.at(1.0, parking_lever=1.0)
    brakes.at(100.0, parking_lever=0.0)
    brakes.at(200.0, parking_lever=1.0)
    assert parked(brakes) == ("set", True, True, 1.0)
    assert brakes.value("left_brake_psi") == 1000.0
    brakes.at(300.0, parking_lever=0.0)
    brakes.fault("parking_brake", None)
    assert parked(brakes) == ("released", False, False, 0.0)
    brakes.at(400.0, parking_lever=1.0)
    brakes.at(401.0, parking_lever=0.0)
    assert parked(brakes) == ("released", False, False, 0.0)


def test_mending_the_valve_of_a_brake_that_is_set_lets_nothing_go() -> None:
    brakes = stage()
    brakes.at(1.0, parking_lever=1.0)
    brakes.fault("parking_brake", "sticking")
    brakes.fault("parking_brake", None)
    assert parked(brakes) == ("set", True, True, 1.0)
    brakes.at(2.0, parking_lever=0.5)
    brakes.fault("parking_brake", None)
    assert parked(brakes) == ("partly", True, True, 1.0)


def test_pedals_and_parking_brake_the_stronger_counts() -> None:
    brakes = stage()
    brakes.at(0.0, parking_lever=1.0)
    brakes.at(0.0, has_parking_pressure=False)
    brakes.at(500.0, pedals=(1.0, 0.2))
    assert braked(brakes) == (1.0, 1.0, 0.5, 0.5)
    assert brakes.value("right_brake_psi") == 500.0


def test_an_aircraft_without_one() -> None:
    brakes = stage(parking_brake=False)
    brakes.after(1.0, parking_lever=1.0)
    assert braked(brakes) == (0.0,) * 4
    assert not is_parked(brakes)
    assert not holds(brakes)
    assert {lamp.name for lamp in brakes.system.lamps} == {"brake_energy_low_amber"}
    assert brakes.system.sounds().value == "silent"
    assert "parking_brake_state" not in {one.name for one in brakes.system.values}
    assert brakes.names == []
    assert {one.name for one in brakes.system.faults} == {"brake_accumulator"}


# -- emergency brake ------------------------------------------------------------------------------


def test_both_sides_alike_whatever_the_pedals() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 0.0), emergency_lever=0.5)
    assert pulled(brakes)
    assert braked(brakes) == (0.5,) * 4
    brakes.after(1.0, emergency_lever=0.0)
    assert not pulled(brakes)
    assert braked(brakes) == (1.0, 1.0, 0.0, 0.0)
    assert brakes.names == ["emergency_brake_pulled", "emergency_brake_released"]


def test_the_first_step_of_it_counts() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 1.0), emergency_lever=0.05)
    assert pulled(brakes)
    assert braked(brakes) == (0.05,) * 4
    assert brakes.names == ["emergency_brake_pulled"]
    brakes.after(1.0, emergency_lever=0.0)
    assert brakes.names == ["emergency_brake_pulled", "emergency_brake_released"]


def test_it_takes_air_by_what_it_rises() -> None:
    brakes = stage()
    used = []
    for lever in (0.5, 0.25, 0.75, 0.75, 0.0, 1.0):
        before = air_used(brakes)
        brakes.after(1.0, emergency_lever=lever)
        used.append(air_used(brakes) - before)
    assert used == [0.5, 0.0, 0.5, 0.0, 0.0, 1.0]
    assert left(brakes) == 8.0, "nothing of the accumulator"


def test_without_air_it_keeps_what_it_has_and_the_pedals_brake() -> None:
    brakes = stage()
    brakes.after(1.0, emergency_lever=0.5)
    brakes.after(1.0, emergency_lever=1.0, has_air=False)
    assert braked(brakes) == (0.5,) * 4
    brakes.after(1.0, emergency_lever=0.25)
    assert braked(brakes) == (0.25,) * 4
    brakes.after(1.0, emergency_lever=0.0)
    brakes.after(1.0, emergency_lever=1.0, pedals=(0.5, 1.0))
    assert not pulled(brakes)
    assert braked(brakes) == (0.5, 0.5, 1.0, 1.0)
    brakes.after(1.0, has_air=True)
    assert braked(brakes) == (1.0,) * 4


@pytest.mark.parametrize("lost", [None, NAN])
def test_an_emergency_lever_that_is_lost_keeps_braking_until_it_is_back(
    lost: float | None,
) -> None:
    brakes = stage()
    brakes.after(1.0, emergency_lever=0.6)
    brakes.after(1.0, emergency_lever=lost)
    brakes.after(100.0)
    assert braked(brakes) == (0.6,) * 4
    brakes.after(1.0, emergency_lever=0.8)
    assert braked(brakes) == (0.8,) * 4
    brakes.after(1.0, emergency_lever=lost)
    brakes.after(1.0, emergency_lever=0.0)
    assert not pulled(brakes)
    assert brakes.names == ["emergency_brake_pulled", "emergency_brake_released"]


@pytest.mark.parametrize("lost", [None, NAN])
@pytest.mark.parametrize("rest", [0.0, 0.04])
def test_a_lever_that_is_found_pulled_does_nothing(lost: float | None, rest: float) -> None:
    brakes = stage()
    brakes.after(1.0, emergency_lever=rest)
    brakes.after(1.0, emergency_lever=lost)
    brakes.after(1.0, emergency_lever=0.8)
    assert not pulled(brakes)
    brakes.after(1.0, emergency_lever=0.0)
    brakes.after(1.0, emergency_lever=0.8)
    assert braked(brakes) == (0.8,) * 4
    fresh = stage(first=False)
    fresh.at(0.0, emergency_lever=1.0)
    assert not pulled(fresh)
    assert fresh.names == []


def test_an_aircraft_without_an_emergency_brake() -> None:
    brakes = stage(emergency_brake=False)
    brakes.after(1.0, emergency_lever=1.0)
    assert not pulled(brakes)
    assert air_used(brakes) == 0.0


# -- what anti-skid shuts off ---------------------------------------------------------------------


def test_it_shuts_off_pedals_alone() -> None:
    brakes = stage()
    shut = (True, False, True, False)
    brakes.after(1.0, pedals=(1.0, 1.0))
    assert braked(brakes, shut) == (0.0, 1.0, 0.0, 1.0)
    assert braked(brakes, shut[:1]) == (0.0, 1.0, 1.0, 1.0)
    brakes.after(1.0, emergency_lever=0.5)
    assert braked(brakes, shut) == (0.5,) * 4
    brakes.after(1.0, emergency_lever=0.0, parking_lever=1.0)
    assert braked(brakes, shut) == (1.0,) * 4


def test_what_is_left_is_a_curve_while_it_fills() -> None:
    brakes = without_power(full_applications=6.0, recharge_s=60.0)
    apply(brakes)
    brakes.after(1.0, has_pressure=True)
    (info,) = (one for one in brakes.system.values if one.name == "brake_applications_left")
    assert info.curve is not None
    line = info.curve(brakes.loop.world(brakes.now_s))
    assert line is not None
    assert line.at(brakes.now_s + 5.0) == pytest.approx(left(brakes) + 0.5)


# -- pressure that the feed reports ---------------------------------------------------------------


def test_the_feed_s_pressure_is_shown_and_can_be_trapped() -> None:
    brakes = stage(fed_pressure=True)
    brakes.after(1.0, fed_psi=(50.0, 100.0))
    assert brakes.lit == set()
    brakes.after(1.0, fed_psi=(50.0, 100.1))
    assert brakes.lit == {"parking_brake_amber"}
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (50.0, 100.1)
    assert details(brakes)["trapped"] == "100.10 > 100.00 psi"
    brakes.after(1.0, fed_psi=(1000.0, 2000.0))
    assert brakes.lit == {"parking_brake_amber"}
    brakes.after(1.0, pedals=(0.5, 0.0))
    assert brakes.lit == set(), "pedals press"
    brakes.after(1.0, pedals=(0.0, 0.0), emergency_lever=1.0)
    assert brakes.lit == set(), "the emergency brake presses"
    brakes.after(1.0, emergency_lever=0.0)
    assert brakes.lit == {"parking_brake_amber"}
    brakes.after(1.0, fed_psi=(None, NAN))
    assert brakes.lit == set()
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (None, None)
    brakes.after(1.0, fed_psi=(150.0,))
    assert brakes.lit == {"parking_brake_amber"}
    assert details(brakes)["trapped"] == "150.00 > 100.00 psi"
    brakes.after(1.0, parking_lever=0.5, fed_psi=(0.0, 150.0))
    assert not brakes.facts.trapped, "the lever is not released"


def test_without_the_authority_the_feed_s_pressure_is_nothing() -> None:
    brakes = stage()
    brakes.after(1.0, fed_psi=(900.0, 900.0))
    assert brakes.lit == set()
    assert brakes.value("left_brake_psi") == 0.0
    assert details(brakes)["trapped"] == "0.00 <= 100.00 psi"


# -- words, files ---------------------------------------------------------------------------------


def test_the_reasons_hold_values_against_limits() -> None:
    brakes = without_power()
    brakes.after(1.0, parking_lever=0.5)
    assert details(brakes) == {
        "lever_released": "lever partly",
        "trapped": "0.00 <= 100.00 psi",
        "energy_low": "8.00 > 2.00 applications",
    }
    brakes.hold()


def test_wheels_with_one_name_are_an_error() -> None:
    wheels = [{"name": "left", "side": "left"}] * 2
    with pytest.raises(ValidationError, match="two wheels are called 'left'"):
        BrakesParameters.model_validate({"wheels": wheels})


def run(**numbers: Any) -> list[Any]:
    """What comes of one script that needs every number."""
    seen: list[Any] = []
    brakes = stage(**numbers)

    def look() -> None:
        values = {one.name: brakes.value(one.name) for one in brakes.system.values}
        seen.append((braked(brakes), values, brakes.lit))
        seen.append((brakes.system.sounds(), pulled(brakes), is_parked(brakes)))

    for lever in (0.02, 0.08, 0.3, 0.87, 1.0):
        brakes.after(1.0, parking_lever=lever)
        look()
    brakes.after(1.0, has_pressure=False, has_parking_pressure=False)
    for _ in range(12):
        brakes.after(60.0)
        look()
    if "parking_brake" in {one.name for one in brakes.system.faults}:
        brakes.fault("parking_brake", "sticking")
    brakes.after(1.0, parking_lever=0.0)
    for _ in range(8):
        brakes.after(30.0)
        look()
    for number in range(10):
        brakes.after(1.0, pedals=(0.03 + number / 10, 0.97))
        look()
        brakes.after(1.0, pedals=(0.0, 0.0))
    brakes.after(1.0, emergency_lever=0.6, has_pressure=True)
    look()
    for _ in range(10):
        brakes.after(7.0)
        look()
    seen.append(brakes.logged)
    return seen


CHANGES: dict[str, Any] = {
    "wheels": NUMBERS["wheels"][:3],
    "full_psi": 1100.0,
    "pedal_free_fraction": 0.1,
    "pedal_full_fraction": 0.8,
    "needs_hydraulics": False,
    "full_applications": 6.0,
    "low_applications": 3.0,
    "recharge_s": 50.0,
    "parking_brake": False,
    "parking_set_fraction": 0.85,
    "parking_released_fraction": 0.05,
    "parking_hold_psi": 500.0,
    "parking_residual_psi": 50.0,
    "parking_bleed_psi_per_min": 70.0,
    "emergency_brake": False,
}


def test_every_number_changes_something() -> None:
    assert set(CHANGES) == set(BrakesParameters.model_fields)
    plain = run()
    for name, value in CHANGES.items():
        assert run(**{name: value}) != plain, name
