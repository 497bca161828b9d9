"""When a leg comes past a place: worked out from two looks, however fast it goes."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from panelbridge.bench.verdict.crossings import PAST_S, PROBE_S, Crossings
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.conditions import AllOf, AnyOf, Compare, Comparison, Not
from panelbridge.signals import (
    AircraftState,
    LegLocks,
    LegState,
    LegView,
    LogicView,
    Outputs,
    SwitchState,
)

NONE = Sample(0.0, SwitchState(), AircraftState(), Outputs(), {}, LogicView(), "none")


def at(time_s: float, *fractions: float | None) -> Sample:
    legs = tuple(
        LegView(f"leg{number}", LegState.EXTENDING, fraction, None, LegLocks())
        for number, fraction in enumerate(fractions)
    )
    return replace(NONE, time_s=time_s, view=LogicView(legs=legs))


def seen(*looks: tuple[float, int, tuple[float | None, ...]]) -> Crossings:
    crossings = Crossings(["leg0", "leg1"])
    for time_s, stretch, fractions in looks:
        crossings.see(at(time_s, *fractions), stretch)
    return crossings


HALF = ("leg0_travel", 0.5)


def test_one_look_asks_for_a_second_one() -> None:
    assert seen((3.0, 1, (0.1, 0.2))).next_s([HALF], 3.0) == pytest.approx(3.0 + PROBE_S, abs=1e-9)
    assert seen((3.0, 1, (0.1, 0.2))).next_s([HALF], 4.0) == pytest.approx(4.0 + PROBE_S, abs=1e-9)


@pytest.mark.parametrize(("speed", "limit"), [(0.1, 0.5), (0.02, 0.3), (-0.05, 0.05)])
def test_two_looks_tell_when(speed: float, limit: float) -> None:
    crossings = seen((3.0, 1, (0.2, 0.0)), (3.5, 1, (0.2 + 0.5 * speed, 0.0)))
    due_s = 3.0 + (limit - 0.2) / speed
    wanted = [("leg0_travel", limit)]
    assert crossings.next_s(wanted, 3.5) == pytest.approx(due_s, abs=1e-9)
    assert crossings.next_s(wanted, due_s) == pytest.approx(due_s + PAST_S, abs=1e-9)
    assert crossings.next_s(wanted, due_s + PAST_S) == inf


def test_the_first_of_several_is_next() -> None:
    crossings = seen((0.0, 1, (0.0, 1.0)), (1.0, 1, (0.1, 0.8)))
    both = [HALF, ("leg1_travel", 0.5)]
    assert crossings.next_s(both, 1.0) == pytest.approx(2.5)
    assert crossings.next_s(both, 3.0) == pytest.approx(5.0)
    assert crossings.next_s([], 1.0) == inf


def test_a_change_of_the_logic_may_have_changed_the_speed() -> None:
    looks = [(0.0, 1, (0.0, 0.0)), (1.0, 1, (0.1, 0.0)), (2.0, 2, (0.2, 0.0))]
    crossings = seen(*looks)
    assert crossings.next_s([HALF], 2.0) == pytest.approx(2.0 + PROBE_S, abs=1e-9)
    crossings.see(at(3.0, 0.25, 0.0), 2)
    assert crossings.next_s([HALF], 3.0) == pytest.approx(8.0)


def test_two_looks_at_one_instant_are_one() -> None:
    crossings = seen((0.0, 1, (0.0, 0.0)), (0.0, 1, (0.0, 0.0)), (1.0, 1, (0.1, 0.0)))
    assert crossings.next_s([HALF], 1.0) == pytest.approx(5.0)


def test_what_stands_or_is_unknown_comes_nowhere() -> None:
    crossings = seen((0.0, 1, (0.2, None)), (1.0, 1, (0.2, None)))
    assert crossings.next_s([HALF, ("leg1_travel", 0.5)], 1.0) == inf


def test_the_limits_of_a_condition() -> None:
    def travel(leg: str, value: float | None) -> Compare:
        return Compare(leg, Comparison.ABOVE, value)

    condition = AllOf(
        (
            AnyOf((travel("leg0_travel", 0.5), travel("airspeed_kias", 100.0))),
            Not(travel("leg1_travel", 0.25)),
            travel("leg0_travel", None),
        )
    )
    crossings = Crossings(["leg0", "leg1"])
    assert crossings.limits_in(condition) == {("leg0_travel", 0.5), ("leg1_travel", 0.25)}
    assert crossings.limits_in(None) == frozenset()
    assert Crossings(()).limits_in(condition) == frozenset()
