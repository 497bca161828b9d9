"""Laws of brakes, anti-skid and emergency bottle together: they read each other in a loop."""

from __future__ import annotations

from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.logic.brake_set import BrakeSet

FRACTION = st.none() | st.sampled_from([0.0, 0.5, 1.0]) | st.floats(0.0, 1.0)
SPEED = st.sampled_from([None, 0.0, 100.0, 600.0])
KNOWN = st.sampled_from([True, False, None])
INPUTS = st.one_of(
    st.fixed_dictionaries({"pedals": st.tuples(FRACTION, FRACTION)}),
    st.fixed_dictionaries({"speeds": st.tuples(SPEED, SPEED)}),
    *(st.fixed_dictionaries({name: FRACTION}) for name in ("parking_lever", "emergency_lever")),
    *(st.fixed_dictionaries({name: KNOWN}) for name in ("on_ground", "antiskid", "handle")),
    st.fixed_dictionaries({"air_bottle": st.sampled_from([None, "empty", "leaking"])}),
    st.sampled_from([{"emergency_lever": 0.0}, {"emergency_lever": 1.0}]),
)
MOVES = st.lists(st.tuples(st.sampled_from([0.0, 0.3, 1.0, 6.0, 90.0]), INPUTS), max_size=25)


def made() -> BrakeSet:
    """A bottle that is good for a few applications."""
    return BrakeSet(bottle_full_psi=1500.0, bottle_low_psi=1000.0)


def play(brakes: BrakeSet, moves: list[Any], *, parts: int = 1, again: bool = False) -> None:
    for wait_s, changes in moves:
        start_s = brakes.now_s
        for part in range(1, parts):
            brakes.at(start_s + wait_s * part / parts)
            brakes.look_again()
        brakes.at(start_s + wait_s, **changes)
        if again:
            brakes.look_again()


LEAKS_TO_A_STEP = [
    (90.0, {"air_bottle": "leaking"}),
    (3.3, {"on_ground": True}),
    (91.3, {"emergency_lever": 1.0}),
    (90.0, {"on_ground": True}),
]
"""At 258 s the bottle is on a step but for the rounding: the brakes must go on to follow it."""


@settings(deadline=None)
@given(moves=MOVES)
@example(moves=LEAKS_TO_A_STEP)
def test_extra_looks_change_nothing(moves: list[Any]) -> None:
    plain, again, often = made(), made(), made()
    play(plain, moves)
    play(again, moves, again=True)
    assert again.state == plain.state
    play(often, moves, parts=4, again=True)
    assert often.events == plain.events
    assert [one.facts for one in often.loop.systems] == [one.facts for one in plain.loop.systems]


@settings(deadline=None)
@given(moves=MOVES, after=st.integers(0, 25))
def test_saved_and_restored_they_go_on_the_same(moves: list[Any], after: int) -> None:
    first, second = made(), made()
    play(first, moves[:after])
    second.resume(first)
    for brakes in (first, second):
        play(brakes, moves[after:])
        brakes.at(brakes.now_s + 100.0)
    assert second.state == first.state


@settings(deadline=None)
@given(moves=MOVES)
def test_air_is_used_by_what_the_brake_rises_and_by_the_gear(moves: list[Any]) -> None:
    """A bottle that does not leak: full less the extension and what the brake has taken."""
    brakes = made()
    for wait_s, changes in moves:
        if "air_bottle" not in changes:
            brakes.at(brakes.now_s + wait_s, **changes)
            extensions = 900.0 if brakes.air.facts.extended else 0.0
            used = brakes.brakes.facts.air_steps * 150.0 / 20
            expected = max(1500.0 - extensions - used, 0.0)
            assert abs(brakes.air_psi() - expected) < 1e-6 or brakes.air_psi() == 0.0
            assert brakes.air.facts.has_air is (brakes.air_psi() > 400.0)
