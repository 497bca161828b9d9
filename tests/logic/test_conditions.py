"""Conditions on named signals: comparisons, all, any, not, and what nobody can know."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from operator import itemgetter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import LogicError
from panelbridge.logic.kit import conditions
from panelbridge.logic.kit.conditions import (
    AllOf,
    AnyOf,
    Compare,
    Comparison,
    Condition,
    Not,
    compares,
    condition_from,
    leaves,
    truth_of,
)
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.world import World
from panelbridge.signals import Value

NAMES = ("speed", "gear", "on_ground")
CELLS = {name: Handle[Any](name) for name in NAMES}
SIGNALS = {name: Signal(name, "word", name, itemgetter(cell)) for name, cell in CELLS.items()}


def truth(condition: Condition | Mapping[str, Any], **values: Value) -> bool | None:
    """What a condition is while the signals have these values; the others are unknown."""
    made = condition_from(condition) if isinstance(condition, Mapping) else condition
    world = World({cell: values.get(name) for name, cell in CELLS.items()}, 0.0)
    return truth_of(made, SIGNALS)(world)


@pytest.mark.parametrize(
    ("comparison", "below_it", "at_it", "above_it"),
    [
        ("is", False, True, False),
        ("above", False, False, True),
        ("below", True, False, False),
        ("at_least", False, True, True),
        ("at_most", True, True, False),
    ],
)
def test_numbers_are_held_against_a_limit(
    comparison: str, below_it: bool, at_it: bool, above_it: bool
) -> None:
    test = compares(Comparison(comparison), 200.0)
    assert [test(number) for number in (199.99, 200.0, 200.01)] == [below_it, at_it, above_it]
    # Sums of tenths are not exact: what differs by less than a thousand-millionth is the same.
    assert [test(200.0 - 5e-10), test(200.0 + 5e-10)] == [at_it, at_it]
    assert [test(200.0 - 2e-9), test(200.0 + 2e-9)] == [below_it, above_it]
    assert truth({"speed": {comparison: 200}}, speed=199.99) is below_it
    assert truth({"speed": {comparison: 200}}, speed=200.0) is at_it
    assert truth({"speed": {comparison: 200}}) is None


def test_words_and_yes_or_no_are_compared_as_they_are() -> None:
    assert truth({"gear": "locked_down"}, gear="locked_down") is True
    assert truth({"gear": "locked_down"}, gear="locked_up") is False
    assert truth({"gear": "locked_down"}) is None
    assert truth({"on_ground": True}, on_ground=True) is True
    assert truth({"on_ground": True}, on_ground=False) is False
    assert truth({"on_ground": False}, on_ground=False) is True
    assert truth({"on_ground": False}) is None


def test_a_number_is_not_asked_of_a_word() -> None:
    assert truth({"speed": {"above": 1}}, speed="fast") is None


def test_unknown_is_a_value_to_ask_for() -> None:
    assert truth({"gear": "unknown"}) is True
    assert truth({"gear": "unknown"}, gear="locked_up") is False
    assert truth({"not": {"gear": "unknown"}}) is False


TRUTHS = {"true": True, "false": False, "unknown": None}


def _table(head: str) -> list[list[str]]:
    """The rows of the table in the module's docstring that begins with these words."""
    assert conditions.__doc__ is not None
    lines = iter(conditions.__doc__.splitlines())
    while next(lines).split() != head.split():
        pass
    rows = []
    for line in lines:
        if not line.strip():
            break
        rows.append(line.split())
    return rows


def test_a_comparison_is_as_its_table_says() -> None:
    rows = _table("x  x: 100  x: {above: 100}  x: unknown")
    assert len(rows) == 3
    for word, *wanted in rows:
        speed = None if word == "unknown" else float(word)
        groups: list[Any] = [100, {"above": 100}, "unknown"]
        found = [truth({"speed": group}, speed=speed) for group in groups]
        assert found == [TRUTHS[one] for one in wanted], word


def test_all_any_and_not_are_as_their_table_says() -> None:
    rows = _table("a  b  all: [a, b]  any: [a, b]  not: a")
    assert len({(a, b) for a, b, *_ in rows}) == len(rows) == 9
    parts = [{"speed": True}, {"on_ground": True}]
    for a, b, *wanted in rows:
        values: dict[str, Value] = {"speed": TRUTHS[a], "on_ground": TRUTHS[b]}
        groups: list[Any] = [{"all": parts}, {"any": parts}, {"not": parts[0]}]
        found = [truth(group, **values) for group in groups]
        assert found == [TRUTHS[word] for word in wanted], (a, b)


def test_several_keys_are_an_all_and_a_set_means_each_of_its_signals() -> None:
    both = AllOf((Compare("speed", Comparison.IS, 1), Compare("gear", Comparison.IS, 1)))
    assert condition_from({"pair": 1}, {"pair": ("speed", "gear")}) == both
    assert condition_from({"not": {"pair": 1}}, {"pair": ("speed", "gear")}) == Not(both)
    assert condition_from({"pair": 1}, {"pair": ("speed",)}) == both.parts[0]
    assert truth({"speed": 1, "gear": 2}, speed=1, gear=3) is False
    assert truth({"speed": 1, "gear": 2}, speed=1) is None


def test_a_group_of_a_file_becomes_its_condition() -> None:
    fast = Compare("speed", Comparison.ABOVE, 200.0)
    slow = Compare("speed", Comparison.AT_MOST, 260.0)
    down = Compare("gear", Comparison.IS, "locked_down")
    up = Compare("gear", Comparison.IS, "locked_up")
    assert condition_from({"speed": {"above": 200}}) == fast
    assert condition_from({"speed": {"above": 200, "at_most": 260}}) == AllOf((fast, slow))
    assert condition_from({"gear": "locked_down"}) == down
    assert condition_from({"gear": ["locked_down", "locked_up"]}) == AnyOf((down, up))
    assert condition_from({"gear": "unknown"}) == Compare("gear", Comparison.IS, None)
    assert condition_from({"speed": {"above": 200}, "gear": "locked_down"}) == AllOf((fast, down))
    parts = [{"speed": {"above": 200}}, {"gear": "locked_down"}]
    assert condition_from({"any": parts}) == AnyOf((fast, down))
    assert condition_from({"all": parts}) == AllOf((fast, down))
    assert condition_from({"not": {"gear": "locked_up"}}) == Not(up)


def test_a_group_that_names_nothing_is_refused() -> None:
    with pytest.raises(LogicError, match=r"^a condition names no signal$"):
        condition_from({})


def test_a_signal_that_is_not_there_is_refused_wherever_it_stands() -> None:
    lost = {"flaps": "up"}
    for group in (lost, {"any": [{"gear": "locked_up"}, lost]}, {"all": [lost]}, {"not": lost}):
        with pytest.raises(LogicError, match="no signal is named 'flaps'"):
            truth(group)


def test_every_comparison_is_found_in_order() -> None:
    group = {
        "any": [{"speed": {"above": 200, "below": 260}}, {"not": {"gear": "locked_up"}}],
        "on_ground": True,
    }
    found = [(leaf.signal, leaf.comparison.value) for leaf in leaves(condition_from(group))]
    assert found == [("speed", "above"), ("speed", "below"), ("gear", "is"), ("on_ground", "is")]


KNOWN = (True, False, None)


@pytest.mark.parametrize(("one", "other"), list(product(KNOWN, KNOWN)))
def test_unknown_leaves_open_only_what_hangs_on_it(one: bool | None, other: bool | None) -> None:
    parts = (Compare("speed", Comparison.IS, True), Compare("on_ground", Comparison.IS, True))
    values: dict[str, Value] = {"speed": one, "on_ground": other}
    # What holds whatever the unknown parts are, holds; so the other way round.
    ends = [
        (a, b)
        for a in ((one,) if one is not None else (True, False))
        for b in ((other,) if other is not None else (True, False))
    ]
    every, some = {a and b for a, b in ends}, {a or b for a, b in ends}
    assert truth(AllOf(parts), **values) is (every.pop() if len(every) == 1 else None)
    assert truth(AnyOf(parts), **values) is (some.pop() if len(some) == 1 else None)
    assert truth(Not(parts[0]), **values) is (None if one is None else not one)


CONDITIONS: st.SearchStrategy[Condition] = st.recursive(
    st.builds(Compare, st.sampled_from(NAMES), st.just(Comparison.IS), st.booleans()),
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: AllOf(tuple(parts))),
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: AnyOf(tuple(parts))),
        inner.map(Not),
    ),
    max_leaves=8,
)


@given(CONDITIONS, st.dictionaries(st.sampled_from(NAMES), st.booleans()))
def test_law_what_is_decided_stays_so_whatever_becomes_known(
    condition: Condition, known: dict[str, bool]
) -> None:
    now = truth(condition, **known)
    for filled in product((True, False), repeat=len(NAMES)):
        later = truth(condition, **{**dict(zip(NAMES, filled, strict=True)), **known})
        assert later is not None
        if now is not None:
            assert later is now
        assert truth(Not(condition), **known) is (None if now is None else not now)
