"""What holds of the brakes whatever is pressed, breaks or is lost."""

from __future__ import annotations

from math import isnan
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from panelbridge.logic.brakes.facts import BRAKE_STEPS
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.spread_stage import moves_of
from tests.logic.test_brake_supply import supplied
from tests.logic.test_brakes import (
    NUMBERS,
    BrakeStage,
    air_used,
    braked,
    holds,
    is_parked,
    left,
    pulled,
    sides,
    stage,
)

FRACTIONS = st.one_of(
    st.none(), st.sampled_from([0.0, 0.05, 0.1, 0.5, 0.9, 1.0, float("nan")]), st.floats(-0.1, 1.1)
)
PEDALS = st.tuples(FRACTIONS, FRACTIONS)
INPUTS = st.one_of(
    st.fixed_dictionaries({"pedals": PEDALS}),
    st.fixed_dictionaries({"parking_lever": FRACTIONS}),
    st.fixed_dictionaries({"emergency_lever": FRACTIONS}),
    *(
        st.fixed_dictionaries({name: st.booleans()})
        for name in ("has_pressure", "has_parking_pressure", "has_air")
    ),
    st.just({"has_pressure": False, "has_parking_pressure": False}),
)
FAULTS = st.sampled_from(
    [
        ("parking_brake", "sticking"),
        ("parking_brake", None),
        ("brake_accumulator", "empty"),
        ("brake_accumulator", None),
    ]
)
WAITS = st.sampled_from([0.0, 0.5, 7.0, 50.0, 333.0, 2000.0])
MOMENTS = st.lists(st.tuples(WAITS, INPUTS, st.none() | FAULTS), max_size=25)
SHUT = st.tuples(*[st.booleans()] * 4)


def known(fraction: float | None) -> float | None:
    return None if fraction is None or isnan(fraction) else fraction


@settings(deadline=None)
@given(moments=MOMENTS, shut=SHUT)
def test_laws(moments: list[Any], shut: tuple[bool, ...]) -> None:
    brakes = stage()
    for wait_s, changes, fault in moments:
        brakes.after(wait_s, **changes)
        if fault is not None:
            brakes.fault(*fault)
        brakes.hold()
        hold(brakes, shut)


def hold(brakes: BrakeStage, shut: tuple[bool, ...]) -> None:
    """What holds after every step."""
    now = brakes.inputs
    fractions = braked(brakes)
    assert all(0.0 <= one <= 1.0 for one in fractions)
    assert all(one * BRAKE_STEPS == round(one * BRAKE_STEPS) for one in fractions)
    lever = known(now["parking_lever"])
    if "parking_brake_amber" not in brakes.lit:
        assert lever is not None
        assert lever <= NUMBERS["parking_released_fraction"], "off only when fully released"
        assert not holds(brakes)
        assert not is_parked(brakes)
    if holds(brakes):
        event("holds")
        assert is_parked(brakes)
        assert min(fractions) > 0.0
        assert min(braked(brakes, shut)) > 0.0, "anti-skid cannot undo it"
    if pulled(brakes):
        event("emergency brake")
        assert sides(brakes)[0] == sides(brakes)[1]
        assert braked(brakes, shut) == fractions
    for side, pedal in enumerate(now["pedals"]):
        if not known(pedal) and not pulled(brakes):
            assert sides(brakes)[side] == 0.0, "an unknown pedal brakes nothing"
    with_shut = braked(brakes, shut)
    for one, other, off in zip(fractions, with_shut, shut, strict=True):
        assert other <= one
        assert off or other == one


@settings(deadline=None)
@given(moments=MOMENTS)
def test_coarse_and_fine_steps_give_the_same(moments: list[Any]) -> None:
    coarse, fine = stage(), stage()
    assert coarse.play(moments) == fine.play(moments, fine_s=23.7)


PSI = st.none() | st.sampled_from([0.0, 100.0, 100.1, 900.0])
FED = st.fixed_dictionaries({"fed_psi": st.tuples(PSI, PSI)})
MORE = st.lists(st.tuples(WAITS, INPUTS | FED, st.none() | FAULTS), max_size=15)


@settings(deadline=None)
@given(moments=MORE, fed=st.booleans())
def test_extra_looks_change_nothing(moments: list[Any], fed: bool) -> None:
    extra_looks_change_nothing(lambda: stage(fed_pressure=fed), moves_of(moments), fine=3)


@settings(deadline=None)
@given(moments=MORE, fed=st.booleans(), after=st.integers(0, 15))
def test_saved_and_restored_it_goes_on_the_same(moments: list[Any], fed: bool, after: int) -> None:
    restored_goes_on_the_same(lambda: stage(fed_pressure=fed), moves_of(moments), after)


@settings(deadline=None)
@given(presses=st.lists(PEDALS, max_size=30))
def test_stored_energy_is_never_won_and_never_owed(presses: list[Any]) -> None:
    """Without pressure what the sides rose by, and nothing else, is taken; count and gauge fall."""
    brakes = stage()
    brakes.at(1.0, has_pressure=False, has_parking_pressure=False)
    taken, before, was = 0.0, (0, 0), (9.0, 9999.0)
    for pedals in presses:
        brakes.after(1.0, pedals=pedals)
        now = brakes.loop.systems[0].facts.steps
        taken += sum(max(one - other, 0) for one, other in zip(now, before, strict=True)) / 40
        before = now
        stored_l = supplied(brakes).store.fluid_l.at(brakes.now_s)
        assert stored_l == pytest.approx(max(0.829270 - 0.04 * taken, 0.0), abs=1e-6)
        shown = left(brakes), brakes.value("brake_accumulator_psi")
        assert shown <= was
        assert shown[1] <= was[1]
        was = shown
        assert brakes.value("left_brake_psi") <= shown[1] + 1e-9
        assert ("brake_energy_low_amber" in brakes.lit) is (left(brakes) <= 2.0)


@given(found=st.floats(0.9, 1.0), emergency=FRACTIONS)
def test_start_up_fires_nothing(found: float, emergency: float | None) -> None:
    """A lever that is found set holds; an emergency lever that is found pulled presses nothing."""
    brakes = stage(first=False)
    brakes.at(0.0, parking_lever=found, emergency_lever=emergency)
    brakes.at(5.0)
    assert not pulled(brakes)
    assert air_used(brakes) == 0.0
    assert holds(brakes)
    assert brakes.names == []
