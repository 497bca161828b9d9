"""The guarded override of the squat switches.

Conserved: with every strut compressed no leg leaves its down-lock, whatever is pressed (and no
airspeed says otherwise). Limits: it lasts no longer than the handle is up.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from panelbridge.logic.air_ground.facts import AirGroundFacts, SquatOverrideFacts
from panelbridge.logic.air_ground.parameters import AirGroundParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.handle_lock.override import SQUAT_OVERRIDE, SquatOverride
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.systems import make_systems
from tests.examples import examples
from tests.logic.build import DOWN, UP, Bench, air, changed, ground, switches, twin
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Stage

STUCK = (False, True, False)


def stage(**numbers: Any) -> Stage[SquatOverride]:
    """In the air with a squat switch that sticks, the handle down."""
    made = Stage(
        SquatOverride(AirGroundParameters(retract_override=True, **numbers)),
        {
            "squat_override": SQUAT_OVERRIDE,
            "struts": (AirGroundFacts, "struts"),
            "handle": (GearFacts, "last_handle"),
            "kias": AIRSPEED_KIAS,
        },
        squat_override=False,
        struts=STUCK,
        handle=DOWN,
    )
    made.at(0.0)
    return made


def used(one: Stage[SquatOverride]) -> bool:
    one.hold()
    assert ("squat_override_amber" in one.lit) is one.facts.in_use
    return bool(one.facts.in_use)


@pytest.mark.parametrize(
    ("struts", "kias", "may"),
    [
        (STUCK, None, True),
        ((True, None, False), None, True),
        ((True, True, True), None, False),
        ((True, True, True), 119.9, False),
        ((True, True, True), 120.0, True),
        ((None, None, None), None, False),
        ((None, None, None), 120.0, True),
        ((True, None, None), None, False),
        ((), None, False),
    ],
)
def test_when_it_may_be_used(struts: Any, kias: float | None, may: bool) -> None:
    one = stage(override_from_kias=120.0)
    one.after(1.0, struts=struts, kias=kias)
    one.after(1.0, squat_override=True)
    assert used(one) is may
    assert one.names == ["squat_override_used" if may else "squat_override_refused"]


def test_struts_that_agree_need_none() -> None:
    one = stage()
    one.after(1.0, struts=(False, False, False))
    one.after(1.0, squat_override=True)
    assert not used(one)
    assert one.names == []


def test_without_an_airspeed_in_the_file_none_counts() -> None:
    one = stage()
    one.after(1.0, struts=(True, True, True), kias=900.0)
    one.after(1.0, squat_override=True)
    assert not used(one)


def test_it_lasts_as_long_as_the_handle_is_up() -> None:
    one = stage()
    one.after(1.0, squat_override=True)
    one.after(1.0, handle=UP)
    one.after(1.0, squat_override=False)
    assert used(one)
    one.after(60.0, handle=DOWN)
    assert not used(one)
    one.after(1.0, handle=UP)
    assert not used(one)
    assert one.names == ["squat_override_used", "squat_override_ended"]


@pytest.mark.parametrize("struts", [(True, True, True), (False, False, False)])
def test_struts_that_agree_again_end_it(struts: tuple[bool, ...]) -> None:
    one = stage()
    one.after(1.0, squat_override=True, handle=UP)
    one.after(1.0, squat_override=False)
    one.after(1.0, struts=struts)
    assert not used(one)


def test_found_pressed_it_does_nothing() -> None:
    one = stage()
    one.after(1.0, squat_override=None)
    one.after(1.0, squat_override=True)
    assert not used(one)
    assert one.names == []


def with_override(**more: Any) -> Bench:
    """In the air, gear down, one squat switch stuck, long enough to be a fault."""
    bench = Bench(twin(air_ground={"retract_override": True, **more}))
    bench.at(0.0, switches("down", squat_override=False), air(gear_handle=DOWN))
    bench.after(1.0, aircraft=changed(bench.aircraft, strut_compressed=STUCK))
    bench.after(60.0)
    return bench


def test_the_gear_retracts_with_it_and_not_without() -> None:
    bench = with_override()
    bench.after(1.0, switches("up", squat_override=False))
    assert bench.horn == "intermittent"
    bench.after(60.0)
    assert bench.command == "down"
    bench.after(1.0, switches("up", squat_override=True))
    assert (bench.command, bench.horn) == ("up", "silent")
    bench.after(1.0, switches("up", squat_override=False))
    bench.after(60.0)
    assert bench.command == "up"
    assert "gear_locked_up" in bench.names
    assert "squat_override_amber" in bench.lit
    bench.after(1.0, switches("down", squat_override=False))
    bench.after(60.0)
    assert "squat_override_amber" not in bench.lit
    assert bench.logic.view().legs[0].locks.is_down


def test_only_an_aircraft_that_says_so_has_it() -> None:
    plain, fitted = twin(), twin(air_ground={"retract_override": True})
    assert not any(isinstance(one, SquatOverride) for one in make_systems(plain))
    assert any(isinstance(one, SquatOverride) for one in make_systems(fitted))
    assert PanelLogic(plain).world()[SquatOverrideFacts] == SquatOverrideFacts()


HANDLES = st.sampled_from(["up", "down", "between"])


@given(st.lists(st.tuples(HANDLES, st.booleans(), st.sampled_from([0.1, 1.0, 10.0])), max_size=12))
@settings(max_examples=examples(30))
def test_on_the_ground_no_leg_moves_whatever_is_pressed(
    moves: list[tuple[str, bool, float]],
) -> None:
    """A-19, M-12: every strut compressed."""
    bench = Bench(twin(air_ground={"retract_override": True, "override_from_kias": 90.0}))
    bench.at(0.0, switches("down"), ground(gear_handle=DOWN, airspeed_kias=40.0))
    for handle, pressed, wait_s in moves:
        bench.after(wait_s, switches(handle, squat_override=pressed))
        assert bench.command != "up"
        assert all(leg.locks.is_down for leg in bench.logic.view().legs)
        if pressed and handle == "up" and bench.horn != "silent":
            event("horn with the override pressed")


CHANGES = st.one_of(
    st.fixed_dictionaries({"squat_override": st.sampled_from([True, False, None])}),
    st.fixed_dictionaries({"handle": st.sampled_from([UP, DOWN, None])}),
    st.fixed_dictionaries({"kias": st.sampled_from([None, 50.0, 150.0])}),
    st.fixed_dictionaries(
        {"struts": st.tuples(*[st.sampled_from([True, False, None]) for _ in range(3)])}
    ),
)


@given(
    moves=st.lists(st.tuples(st.sampled_from([0.0, 1.0]), CHANGES), max_size=15),
    fine=st.integers(2, 4),
    after=st.integers(0, 15),
)
def test_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[Move], fine: int, after: int
) -> None:
    def make() -> Stage[SquatOverride]:
        return stage(override_from_kias=120.0)

    extra_looks_change_nothing(make, moves, fine)
    restored_goes_on_the_same(make, moves, after)


def test_the_reason_says_how_long_it_lasts() -> None:
    one = stage()

    def detail() -> str:
        (reason,) = one.system.words(one.loop.world(one.now_s))["in_use"]
        return reason.detail

    assert detail() == ""
    one.after(1.0, squat_override=True, handle=UP)
    assert detail() == "button held"
    one.after(1.0, squat_override=False)
    assert detail() == "until the handle is down"
