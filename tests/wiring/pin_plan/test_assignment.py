"""The assignment is exact: compared with trying everything."""

from __future__ import annotations

from itertools import combinations, product

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.wiring.pin_plan.assignment import Option, assign, matched

PLACES = "abcde"
OPTIONS = st.builds(Option, st.sampled_from(PLACES), st.integers(0, 2))
NEEDS = st.lists(st.lists(OPTIONS, max_size=4), max_size=5)
CLASHES = st.frozensets(st.tuples(st.integers(0, 2), st.integers(0, 2)), max_size=4)


def is_way(chosen: tuple[Option[str, int], ...], clashes: frozenset[tuple[int, int]]) -> bool:
    """No place twice and no two that clash."""
    return len({one.place for one in chosen}) == len(chosen) and not any(
        (a.note, b.note) in clashes or (b.note, a.note) in clashes
        for a, b in combinations(chosen, 2)
    )


@given(NEEDS, CLASHES)
def test_law_it_finds_a_way_exactly_when_there_is_one(
    needs: list[list[Option[str, int]]], clashes: frozenset[tuple[int, int]]
) -> None:
    def clash(a: Option[str, int], b: Option[str, int]) -> bool:
        return (a.note, b.note) in clashes or (b.note, a.note) in clashes

    ways = [chosen for chosen in product(*needs) if is_way(chosen, clashes)]
    found = assign(needs, clash)
    assert (found is not None) == bool(ways)
    if found is not None:
        assert tuple(found) == ways[0]  # the first in the order of the options


@given(NEEDS)
def test_law_as_many_as_possible_are_matched(needs: list[list[Option[str, int]]]) -> None:
    most = max(
        (
            len(some)
            for count in range(len(needs) + 1)
            for some in combinations(needs, count)
            if any(is_way(chosen, frozenset()) for chosen in product(*some))
        ),
        default=0,
    )
    found = matched(needs)
    assert len(found) == most
    for place, need in found.items():
        assert place in [option.place for option in needs[need]]


def test_an_early_need_makes_way_for_a_late_one() -> None:
    needs = [[Option("a", 0), Option("b", 0)], [Option("a", 0)]]
    found = assign(needs, lambda *_: False)
    assert found is not None
    assert [one.place for one in found] == ["b", "a"]
