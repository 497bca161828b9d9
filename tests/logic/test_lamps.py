"""Brightness: dimmer, floors and the lamp test."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.logic.lamps.parameters import LampParameters
from panelbridge.logic.lamps.shine import FULL, brightness, is_warning_lamp, shine
from panelbridge.logic.lamps.system import Lamps
from tests.logic.build import (
    UP,
    Bench,
    air,
    flying_gear_down,
    flying_gear_up,
    ground,
    on_ground,
    switches,
    twin,
)
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Stage

KNOB = st.floats(0.0, 1.0)
FLOOR = st.floats(0.01, 1.0)
LIT = {"nose_green": True, "left_green": False, "nose_red": False, "left_red": True}
PLAIN = LampParameters()
GEAR = frozenset({"nose_red", "left_red"})


@given(knob=KNOB, other=KNOB, floor=FLOOR)
def test_law_the_dimmer_is_monotone_and_in_range(knob: float, other: float, floor: float) -> None:
    low, high = sorted((knob, other))
    assert 1 <= brightness(low, floor) <= brightness(high, floor) <= FULL


@given(floor=FLOOR)
def test_law_the_ends_of_the_knob(floor: float) -> None:
    assert brightness(1.0, floor) == FULL
    assert brightness(0.0, floor) == max(1, round(FULL * floor))
    assert brightness(None, floor) == FULL, "no dimmer, or a lost one: full"


@pytest.mark.parametrize(("beyond", "end"), [(-0.2, 0.0), (1.3, 1.0)])
def test_a_knob_beyond_its_ends_is_at_its_end(beyond: float, end: float) -> None:
    assert brightness(beyond, 0.25) == brightness(end, 0.25)


def test_the_smallest_floor_is_never_dark() -> None:
    assert brightness(0.0, 0.0001) == 1


def test_red_and_amber_keep_the_higher_floor() -> None:
    names = ("nose_red", "handle_red", "park_amber", "nose_green", "steering", "red_line")
    assert [is_warning_lamp(name) for name in names] == [True, True, True, False, False, False]
    parameters = LampParameters(warning_floor_fraction=0.4, other_floor_fraction=0.1)
    lit = {**LIT, "park_amber": True, "steering": True}
    levels = shine(lit, parameters, LampFacts(dimmer_fraction=0.0))
    assert levels == {
        "nose_green": 26,
        "left_green": 0,
        "nose_red": 0,
        "left_red": 102,
        "park_amber": 102,
        "steering": 26,
    }


def test_the_lamp_test_lights_all_fully_whatever_the_dimmer() -> None:
    levels = shine(LIT, PLAIN, LampFacts(dimmer_fraction=0.0, lamp_test=True))
    assert levels == dict.fromkeys(LIT, FULL)


def test_the_warning_test_lights_the_reds_and_leaves_the_rest() -> None:
    levels = shine(
        LIT, PLAIN, LampFacts(dimmer_fraction=1.0, warning_test=True), warning_tested=GEAR
    )
    assert levels == {"nose_green": FULL, "left_green": 0, "nose_red": FULL, "left_red": FULL}


def test_levels_cannot_be_changed_by_a_reader() -> None:
    for test in (True, False):
        levels = shine(LIT, PLAIN, LampFacts(dimmer_fraction=1.0, lamp_test=test))
        with pytest.raises(TypeError):
            levels["nose_red"] = 0  # type: ignore[index]


@given(knob=KNOB, floor=FLOOR, night=FLOOR)
def test_law_night_is_never_brighter_than_day_nor_below_the_floor(
    knob: float, floor: float, night: float
) -> None:
    level = brightness(knob, floor, night)
    assert brightness(0.0, floor) <= level <= brightness(knob, floor)
    assert level <= max(brightness(1.0, night), brightness(0.0, floor))


def test_night_dims_what_is_lit_and_leaves_the_lamp_test_alone() -> None:
    dim = LampParameters(night_fraction=0.4, warning_floor_fraction=0.2, other_floor_fraction=0.1)
    levels = shine(LIT, dim, LampFacts(dimmer_fraction=1.0, night=True))
    assert levels["nose_green"] == levels["left_red"] == round(0.4 * FULL)
    levels = shine(LIT, dim, LampFacts(dimmer_fraction=0.5, night=True))
    assert (levels["left_red"], levels["nose_green"]) == (77, 64)  # 0.3 and 0.25 of 255
    assert shine(LIT, dim, LampFacts(night=True, lamp_test=True))["nose_red"] == FULL
    floor = LampParameters(night_fraction=0.1, warning_floor_fraction=0.3)
    assert shine(LIT, floor, LampFacts(dimmer_fraction=1.0, night=True))["left_red"] == round(
        0.3 * 255
    )


def test_flashing_lamps_go_out_in_the_dark_half_and_no_test_flashes() -> None:
    flashing = LampParameters(flashing=["left_red", "nose_red"])
    assert shine(LIT, flashing, LampFacts(), flash_on=False) == {
        "nose_green": FULL,
        "left_green": 0,
        "nose_red": 0,
        "left_red": 0,
    }
    assert shine(LIT, flashing, LampFacts())["left_red"] == FULL
    over = LampFacts(warning_test=True)
    tested = shine(LIT, flashing, over, flash_on=False, warning_tested=GEAR)
    assert tested["left_red"] == tested["nose_red"] == FULL
    over = LampFacts(lamp_test=True)
    assert shine(LIT, flashing, over, flash_on=False) == dict.fromkeys(LIT, FULL)


def test_without_electrical_power_every_lamp_is_dark() -> None:
    for test in (True, False):
        over = LampFacts(powered=False, lamp_test=test, warning_test=test)
        assert not any(shine(LIT, PLAIN, over, warning_tested=GEAR).values())


# -- the system -----------------------------------------------------------------------------------

KNOWN = st.sampled_from([None, False, True])
CHANGES = st.one_of(
    *(
        st.fixed_dictionaries({name: KNOWN})
        for name in ("lamp_test", "warning_test", "night", "bus_powered")
    ),
    st.fixed_dictionaries({"dimmer": st.none() | KNOB}),
)


def over(*, sounds: bool = True, **first: Any) -> Stage[Lamps]:
    system = Lamps(LampParameters(lamp_test_sounds_horn=sounds), GEAR)
    return Stage(system, {"bus_powered": BUS_POWERED}, **first)


def test_what_is_unknown_tests_nothing_and_leaves_the_power_on() -> None:
    stage = over()
    stage.at(0.0)
    assert stage.facts == LampFacts()
    stage.at(1.0, night=True, dimmer=0.25, bus_powered=False)
    assert stage.facts == LampFacts(0.25, night=True, powered=False)
    assert stage.names == []


def test_a_test_that_is_found_held_has_begun() -> None:
    stage = over(lamp_test=True, warning_test=True)
    stage.at(0.0)
    assert stage.names == ["lamp_test_started", "warning_test_started"]
    stage.at(1.0, lamp_test=None, warning_test=False)
    assert stage.names[2:] == ["lamp_test_ended", "warning_test_ended"]


@given(
    moves=st.lists(st.tuples(st.sampled_from([0.0, 0.5]), CHANGES), max_size=20),
    fine=st.integers(2, 4),
    after=st.integers(0, 20),
)
def test_law_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[Move], fine: int, after: int
) -> None:
    extra_looks_change_nothing(over, moves, fine)
    restored_goes_on_the_same(over, moves, after)


# -- through the whole logic ----------------------------------------------------------------------


def test_the_dimmer_dims_what_is_lit_and_stays_while_it_is_unknown() -> None:
    bench = Bench()
    bench.at(0.0, switches("down", dimmer=None), ground())
    assert bench.result.outputs.lamps["nose_green"] == FULL, "never known: as bright as can be"
    bench.after(1.0, switches("down", dimmer=0.0))
    assert bench.result.outputs.lamps["nose_green"] == round(0.08 * 255)
    bench.after(1.0, switches("down", dimmer=None))
    assert bench.result.outputs.lamps["nose_green"] == round(0.08 * 255)


def test_the_tests_are_reported_and_restore_exactly() -> None:
    for name in ("lamp_test", "warning_test"):
        bench = flying_gear_down()
        bench.after(1.0, switches("up"))
        bench.after(1.0)
        before = bench.result.outputs
        bench.events.clear()
        bench.after(0.1, switches("up", **{name: True}))
        assert bench.result.outputs != before
        assert bench.horn == "intermittent"
        bench.after(0.1, switches("up"))
        assert bench.result.outputs == before
        assert bench.names == [f"{name}_started", f"{name}_ended"]


def test_a_test_button_that_is_lost_while_held_ends_the_test() -> None:
    bench = on_ground()
    bench.after(1.0, switches("down", lamp_test=True))
    bench.after(1.0, switches("down", lamp_test=None))
    assert bench.horn == "silent"
    assert bench.names == ["lamp_test_started", "lamp_test_ended"]


def test_a_test_button_that_is_found_reports_nothing() -> None:
    bench = on_ground()
    bench.after(1.0, switches("down", lamp_test=None, warning_test=None))
    bench.after(1.0, switches("down", lamp_test=False, warning_test=False))
    assert bench.names == []


def test_a_silent_lamp_test_when_the_aircraft_has_one() -> None:
    bench = on_ground(twin(lamps={"lamp_test_sounds_horn": False}))
    bench.after(1.0, switches("down", lamp_test=True))
    assert bench.horn == "silent"
    assert "handle_red" in bench.lit
    bench.after(1.0, switches("down", lamp_test=True, warning_test=True))
    assert bench.horn == "intermittent"


def test_a_test_sounds_as_the_throttle_rule_and_takes_nothing_from_a_louder_one() -> None:
    parameters = twin(gear_warning={"throttle_pattern": "continuous"})
    bench = on_ground(parameters)
    bench.after(1.0, switches("down", warning_test=True))
    assert bench.horn == "continuous"
    bench = flying_gear_down()
    bench.after(1.0, switches("up"), air(flap_deg=40.0, gear_handle=UP))
    bench.after(1.0)
    bench.after(1.0, switches("up", lamp_test=True))
    assert bench.horn == "continuous"


def test_night_acts_at_once_and_stays_while_its_switch_is_unknown() -> None:
    bench = Bench()
    bench.at(0.0, switches("down", night=None, dimmer=1.0), ground())
    assert bench.result.outputs.lamps["nose_green"] == FULL, "never known: day"
    bench.after(1.0, switches("down", night=True, dimmer=1.0))
    assert bench.result.outputs.lamps["nose_green"] == round(0.5 * FULL)
    bench.after(1.0, switches("down", night=None, dimmer=1.0))
    assert bench.result.outputs.lamps["nose_green"] == round(0.5 * FULL)


@pytest.mark.parametrize(("lights", "greens"), [("gear_lamps", True), ("red_lamps", False)])
def test_which_lamps_the_gear_warning_test_lights(lights: str, greens: bool) -> None:
    bench = flying_gear_up(twin(lamps={"warning_test_lights": lights}))
    assert bench.lit == set()
    bench.after(1.0, switches("up", warning_test=True))
    reds = {"nose_red", "left_red", "right_red", "handle_red"}
    assert bench.lit == (reds | {"nose_green", "left_green", "right_green"} if greens else reds)
    reasons = bench.logic.reasons("nose_green")
    assert any(one.condition == "rule: gear warning test" for one in reasons) is greens
    assert bench.logic.reasons("steering_green")[-1].condition != "rule: gear warning test"
