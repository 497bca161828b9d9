"""A-18: CAR 4b.334(e), as restated in FAA NPRM 63-19 (1963): reopening the throttles resets."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.logic.build import CLOSED, OPEN, flying_gear_up


def test_reopening_resets_without_a_sound() -> None:
    """CAR 4b.334(e): a manual shutoff such that "reopening the throttles will reset" it."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, CLOSED)
    bench.press("horn_silence")
    assert bench.logic.view().horn_silenced
    bench.history.clear()
    bench.throttles(OPEN, OPEN)
    assert not bench.logic.view().horn_silenced
    assert {outputs.horn.value for _, outputs in bench.history} == {"silent"}
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"


def test_one_lever_reopened_is_not_enough() -> None:
    """CAR 4b.334(e): while another is closed the silence lasts."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, CLOSED)
    bench.press("horn_silence")
    bench.throttles(OPEN, CLOSED)
    assert bench.logic.view().horn_silenced
    assert bench.horn == "silent"


MOVES = st.lists(
    st.one_of(st.just("press"), st.tuples(*[st.sampled_from([CLOSED, OPEN])] * 2)), max_size=30
)


@settings(max_examples=examples(100), deadline=None)
@given(moves=MOVES)
def test_law_never_silenced_while_no_throttle_is_closed(
    moves: list[str | tuple[float, float]],
) -> None:
    """CAR 4b.334(e): the silence is always off while every throttle is open."""
    bench = flying_gear_up()
    levers = (OPEN, OPEN)
    for move in moves:
        if isinstance(move, str):
            bench.press("horn_silence")
        else:
            levers = move
            bench.throttles(*levers)
        if CLOSED not in levers:
            assert not bench.logic.view().horn_silenced
            assert bench.horn == "silent"
