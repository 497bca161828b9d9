"""Laws of the speed limits, over any sequence of airspeeds, legs and lost data."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan, nan
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.signals import GearPosition
from tests.examples import examples
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.test_speed_limits import stage

LIMITS = {"vlo_extend": 180.0, "vlo_retract": 150.0, "vle": 210.0}
HYSTERESIS = 3.0
KIAS = st.sampled_from([None, nan, 100.0, 147.0, 150.0, 151.0, 178.0, 180.0, 185.0, 208.0, 240.0])
ENDS = ((True, False), (False, True), (False, False))
LEGS = st.sampled_from(ENDS)
DEMANDS = st.sampled_from([None, GearPosition.UP, GearPosition.DOWN])
MOVES = st.lists(st.tuples(KIAS, DEMANDS, LEGS), min_size=1, max_size=25)


@dataclass
class Exceedance:
    """An exceedance by the words of the rule."""

    limit: float
    highest: float | None = None

    def see(self, kias: float | None, concerned: bool) -> None:
        unknown = kias is None or isnan(kias)
        if not concerned:
            self.highest = None
        elif not unknown:
            assert kias is not None
            if kias > self.limit or (self.highest is not None and kias > self.limit - HYSTERESIS):
                self.highest = max(kias, self.highest or kias)
            else:
                self.highest = None


@settings(max_examples=examples(150), deadline=None)
@given(moves=MOVES)
def test_the_lamp_and_the_events_are_those_of_the_words(moves: list[Any]) -> None:
    speed = stage()
    oracle = {name: Exceedance(limit) for name, limit in LIMITS.items()}
    for kias, demand, (all_up, all_down) in moves:
        before = {name: one.highest for name, one in oracle.items()}
        reported = len(speed.events)
        speed.after(1.0, kias=kias, demand=demand, all_up=all_up, all_down=all_down)
        moves_now = not (all_up or all_down)
        extends = demand is GearPosition.DOWN and not all_down
        retracts = demand is GearPosition.UP and not all_up
        for name, concerned in (
            ("vlo_extend", extends or (demand is None and moves_now)),
            ("vlo_retract", retracts or (demand is None and moves_now)),
            ("vle", not all_up),
        ):
            oracle[name].see(kias, concerned)
        speed.hold()
        assert bool(speed.lit) == any(one.highest is not None for one in oracle.values())
        new = [(h.name, h.subject) for h in speed.events[reported:]]
        expected = []
        for name, one in oracle.items():
            if (before[name] is None) != (one.highest is None):
                ended = one.highest is None
                expected.append(
                    ("speed_limit_exceedance_ended" if ended else "speed_limit_exceeded", name)
                )
        assert new == expected
        for event in speed.events[reported:]:
            highest = before[event.subject]
            if highest is not None:
                known = kias if kias is not None and not isnan(kias) else highest
                assert event.text.endswith(f"{max(highest, known):.0f} knots")


@settings(max_examples=examples(100), deadline=None)
@given(moves=MOVES, fine=st.integers(2, 5))
def test_how_often_it_is_looked_at_does_not_matter(moves: list[Any], fine: int) -> None:
    results = []
    for parts in (1, fine):
        speed = stage()
        for second, (kias, demand, (all_up, all_down)) in enumerate(moves):
            for part in range(parts):
                speed.at(
                    second + part / parts,
                    kias=kias,
                    demand=demand,
                    all_up=all_up,
                    all_down=all_down,
                )
        results.append((speed.logged, speed.lit, speed.value("gear_speed_highest_kias")))
    assert results[0] == results[1]


CHANGES = st.one_of(
    st.fixed_dictionaries({"kias": KIAS}),
    st.fixed_dictionaries({"demand": DEMANDS}),
    st.sampled_from([{"all_up": up, "all_down": down} for up, down in ENDS]),
)


@given(
    moves=st.lists(st.tuples(st.sampled_from([0.0, 0.02, 1.0]), CHANGES), max_size=30),
    fine=st.integers(2, 4),
    after=st.integers(0, 30),
)
def test_law_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[Move], fine: int, after: int
) -> None:
    extra_looks_change_nothing(stage, moves, fine)
    restored_goes_on_the_same(stage, moves, after)
