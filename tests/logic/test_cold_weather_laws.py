"""Laws of the cold-weather routine, over any sequence of switches and lost data."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.signals import GearPosition
from tests.examples import examples
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.test_cold_weather import LEAVE, PUMP, REMIND, Scene

KNOWN = st.sampled_from([True, False, True, False, None])
PEDAL = st.sampled_from([None, 0.0, 0.1, 0.4, 0.8, 1.0])
CHANGES = st.one_of(
    st.fixed_dictionaries({"cold_weather": KNOWN}),
    st.fixed_dictionaries({"on_ground": KNOWN}),
    st.fixed_dictionaries({"handle": st.sampled_from([None, *GearPosition])}),
    st.fixed_dictionaries({"all_down": st.booleans()}),
    st.fixed_dictionaries({"antiskid_on": KNOWN}),
    st.fixed_dictionaries({"pedals": st.tuples(PEDAL, PEDAL)}),
    st.just({"pedals": (0.0, 0.0)}),
    st.just({"pedals": (1.0, 1.0)}),
)
MOVES = st.lists(
    st.tuples(st.sampled_from([0.25, 1.0, 7.0, 60.0, 130.0]), CHANGES), min_size=3, max_size=40
)


def last_known(before: Any, now: Any) -> Any:
    return before if now is None else now


@settings(max_examples=examples(150), deadline=None)
@given(moves=MOVES, approach=st.booleans())
def test_laws(moves: list[tuple[float, dict[str, Any]]], approach: bool) -> None:
    cold = Scene()
    if approach:
        cold.on_approach()
        cold.after(1.0, antiskid_on=False)
    known = dict(cold.inputs)
    took_off_s = None
    for step_s, change in moves:
        lit, left = cold.lit, cold.value("brake_pumps_left")
        was_ground = known["on_ground"]
        known = {name: last_known(known[name], change.get(name)) for name in known}
        cold.after(step_s, **change)
        cold.hold()
        if was_ground and not known["on_ground"] and known["cold_weather"]:
            took_off_s = cold.now_s
        if known["on_ground"] or not known["cold_weather"]:
            took_off_s = None
        runs = took_off_s is not None and cold.now_s < took_off_s + 100.0
        assert (LEAVE in cold.lit) is runs
        assert (cold.system.sounds().value != "silent") is (
            runs and known["handle"] is GearPosition.UP
        )
        if not known["cold_weather"]:
            assert cold.lit == set()
        if PUMP in cold.lit:
            assert not known["on_ground"]
            assert REMIND not in cold.lit
            assert LEAVE not in cold.lit
        now_left = cold.value("brake_pumps_left")
        if PUMP in lit and PUMP in cold.lit and now_left != left:
            assert now_left == left - 1.0
            assert known["antiskid_on"] is False
            assert "pedals" in change
        if REMIND in lit and REMIND not in cold.lit:
            assert known["antiskid_on"] is True or not known["cold_weather"]
        if REMIND in cold.lit and REMIND not in lit:
            assert PUMP in lit


@settings(max_examples=examples(100), deadline=None)
@given(moves=MOVES, fine=st.integers(2, 6))
def test_how_often_it_is_looked_at_does_not_matter(
    moves: list[tuple[float, dict[str, Any]]], fine: int
) -> None:
    results = []
    for parts in (1, fine):
        cold = Scene()
        for step_s, change in moves:
            start_s = cold.now_s
            for part in range(1, parts):
                cold.at(start_s + step_s * part / parts)
            cold.at(start_s + step_s, **change)
        values = [cold.value(one.name) for one in cold.system.values]
        results.append((cold.logged, cold.lit, values))
    assert results[0] == results[1]


BEGINNINGS = st.sampled_from(["on the ground", "on an approach", "pumped", "landed"])


def scene(beginning: str, *, has_antiskid: bool = True) -> Scene:
    """Somewhere in the routine; after the ground the anti-skid is off."""
    cold = Scene(has_antiskid=has_antiskid)
    if beginning != "on the ground":
        cold.on_approach()
        cold.after(1.0, antiskid_on=False)
    if beginning in ("pumped", "landed"):
        cold.pump(3)
    if beginning == "landed":
        cold.land()
    return cold


@settings(deadline=None)
@given(moves=MOVES, beginning=BEGINNINGS, has_antiskid=st.booleans(), fine=st.integers(2, 6))
def test_extra_looks_change_nothing(
    moves: list[tuple[float, dict[str, Any]]], beginning: str, has_antiskid: bool, fine: int
) -> None:
    extra_looks_change_nothing(lambda: scene(beginning, has_antiskid=has_antiskid), moves, fine)


@settings(deadline=None)
@given(moves=MOVES, beginning=BEGINNINGS, after=st.integers(0, 40))
def test_saved_and_restored_it_goes_on_the_same(
    moves: list[tuple[float, dict[str, Any]]], beginning: str, after: int
) -> None:
    restored_goes_on_the_same(lambda: scene(beginning), moves, after)
