"""Laws of the gear warning: an oracle from the words of its sources, for each way to re-arm.

14 CFR 23.729(f)(1), (f)(2), CAR 4b.334(e), US Army TM 1-1510-218-10, TM 55-1510-222-10, TM
55-1510-220-10, 14 CFR 25.729(e)(4), (e)(6). It shares no code with the logic. Every move takes
longer than a lever needs to settle.
"""

from __future__ import annotations

from math import isnan, nan
from typing import Any

from hypothesis import event, example, given, settings
from hypothesis import strategies as st

from panelbridge.logic.gear_warning.system import GearWarning
from tests.examples import examples
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Stage
from tests.logic.warning_stage import WarningStage

GATES = {
    "quiet_from_kias": 140.0,
    "quiet_hysteresis_kias": 5.0,
    "inhibit_above_ft": 12500.0,
    "enable_below_ft": 10500.0,
    "rearm_fraction": 0.86,
}
LEVER = st.sampled_from([None, 0.75, 0.79, 0.795, 0.82, 0.87, 0.95])
CHANGES = st.one_of(
    st.fixed_dictionaries({"levers": st.tuples(LEVER, LEVER)}),
    st.fixed_dictionaries({"levers": st.sampled_from([(0.75, 0.9), (0.75, 0.75), (0.9, 0.9)])}),
    st.fixed_dictionaries({"flap_deg": st.sampled_from([None, 0.0, 20.0, 20.1])}),
    st.fixed_dictionaries(
        {"kias": st.sampled_from([None, nan, 120.0, 139.9, 140.0, 144.0, 145.0])}
    ),
    st.fixed_dictionaries(
        {"altitude_ft": st.sampled_from([None, nan, 9000.0, 10500.0, 11000.0, 12500.0, 13000.0])}
    ),
    st.fixed_dictionaries({"all_down": st.booleans()}),
    st.fixed_dictionaries({"handle_up_on_ground": st.booleans()}),
    st.sampled_from([{"horn_silence": True}, {"lever_horn_silence": True}]),
)
MOVES = st.lists(CHANGES, min_size=5, max_size=40)


class Oracle:
    """What the sources say, one move at a time."""

    def __init__(self, rearm: str, allowed: bool) -> None:
        self.rearm, self.allowed = rearm, allowed
        self.closed = [False, False]
        self.advanced = [True, True]
        self.flaps = self.fast = self.high = self.down = self.handle = self.silenced = False

    def move(self, change: dict[str, Any]) -> None:
        pressed = "horn_silence" in change or "lever_horn_silence" in change
        if pressed and self.allowed and self.rule and not (self.flaps and not self.down):
            self.silenced = True
        before = list(self.closed)
        for number, lever in enumerate(change.get("levers", ())):
            if lever is not None:
                self.closed[number] = lever <= (0.80 if self.closed[number] else 0.79)
                self.advanced[number] = lever > 0.86
        flap_deg = change.get("flap_deg")
        self.flaps = self.flaps if flap_deg is None else flap_deg > 20.0
        self.fast = self.gate(self.fast, change, "kias", lambda v: v >= 145.0, lambda v: v < 140.0)
        self.high = self.gate(
            self.high, change, "altitude_ft", lambda v: v > 12500.0, lambda v: v < 10500.0
        )
        self.down = change.get("all_down", self.down)
        self.handle = change.get("handle_up_on_ground", self.handle)
        if self.rearm == "all_levers_advanced":
            over = self.down or all(self.advanced)
        else:
            retarded = any(now and not old for now, old in zip(self.closed, before, strict=True))
            opened = any(old and not now for now, old in zip(self.closed, before, strict=True))
            over = retarded or not self.rule or (opened and self.rearm == "lever_advanced")
        self.silenced = self.silenced and not over

    @staticmethod
    def gate(was: bool, change: dict[str, Any], name: str, begins: Any, ends: Any) -> bool:
        if name not in change:
            return was
        value = change[name]
        if value is None or isnan(value) or ends(value):
            return False
        return bool(was or begins(value))

    @property
    def cause(self) -> bool:
        return any(self.closed) and not self.down

    @property
    def rule(self) -> bool:
        return self.cause and not (self.fast or self.high)

    @property
    def shown(self) -> tuple[int, int]:
        always = (self.flaps and not self.down) or self.handle
        horn = always or (self.rule and not self.silenced)
        return int(horn), int(always or self.cause)


@settings(max_examples=examples(150), deadline=None)
@example(  # one lever is advanced and the other closed in one step: they settle together
    moves=[{"levers": (0.75, 0.9)}, {"horn_silence": True}, {"levers": (0.87, 0.75)}],
    rearm="all_levers_advanced",
    allowed=True,
)
@given(
    moves=MOVES,
    rearm=st.sampled_from(["any_retard", "lever_advanced", "all_levers_advanced"]),
    allowed=st.sampled_from([True, True, True, False]),
)
def test_the_horn_and_the_light_follow_the_words(
    moves: list[dict[str, Any]], rearm: str, allowed: bool
) -> None:
    bench = WarningStage({**GATES, "rearm": rearm, "silence_allowed": allowed})
    oracle = Oracle(rearm, allowed)
    for change in moves:
        bench.after(0.3, **change)
        bench.after(0.3)
        oracle.move(change)
        assert bench.shown == oracle.shown
        assert bench.is_silenced() is oracle.silenced
        if oracle.silenced:
            event(f"silenced, {rearm}")
            assert allowed
        for button in ("horn_silence", "lever_horn_silence"):
            if button in change:
                shown = bench.shown
                bench.after(0.3, **{button: False})
                assert bench.shown == shown, "releasing does nothing"


@settings(max_examples=examples(150), deadline=None)
@given(
    moves=st.lists(st.tuples(st.sampled_from([0.003, 0.04, 0.3, 0.7]), CHANGES), max_size=30),
    fine=st.integers(2, 7),
    rearm=st.sampled_from(["any_retard", "lever_advanced", "all_levers_advanced"]),
)
def test_how_often_it_is_looked_at_does_not_matter(
    moves: list[tuple[float, dict[str, Any]]], fine: int, rearm: str
) -> None:
    results = []
    for parts in (1, fine):
        bench = WarningStage({**GATES, "rearm": rearm, "shortest_sounding_s": 0.5})
        for step_s, change in moves:
            start_s = bench.now_s
            for part in range(1, parts):
                bench.at(start_s + step_s * part / parts)
            bench.at(start_s + step_s, **change)
            for button in ("horn_silence", "lever_horn_silence"):
                bench.at(bench.now_s, **{button: False})
        bench.after(5.0)
        results.append((bench.logged, bench.shown, bench.is_silenced()))
    assert results[0] == results[1]


@settings(max_examples=examples(150), deadline=None)
@given(
    moves=st.lists(st.tuples(st.sampled_from([0.003, 0.04, 0.3, 0.7]), CHANGES), max_size=30),
    shortest_s=st.sampled_from([0.2, 0.5, 2.0]),
)
def test_a_shortest_time_only_adds_to_the_horn_and_not_for_long(
    moves: list[tuple[float, dict[str, Any]]], shortest_s: float
) -> None:
    plain, longer = WarningStage(GATES), WarningStage({**GATES, "shortest_sounding_s": shortest_s})
    began_s = float("-inf")
    for step_s, change in moves:
        sounded = plain.horn
        for bench in (plain, longer):
            bench.after(step_s, **change)
        noted = [h.time_s for h in plain.stage.events if h.name == "horn_sounded"]
        began_s = noted[-1] if noted else began_s
        assert longer.red == plain.red, "no lamp is latched"
        assert longer.is_silenced() == plain.is_silenced()
        if plain.horn:
            assert longer.horn
            assert longer.pattern is plain.pattern
        elif longer.horn:
            event("rings on")
            assert plain.now_s < began_s + shortest_s + 1e-9
            pressed = "horn_silence" in change or "lever_horn_silence" in change
            assert not (pressed and sounded)
        for bench in (plain, longer):
            bench.at(bench.now_s, horn_silence=False, lever_horn_silence=False)


RESTS = {  # where a lever may stand without a change of side; the first settles it there
    "closed": (0.75, 0.0, 0.79, 0.80, 0.83),
    "open": (0.85, 0.7901, 0.80, 0.83, 0.86),
    "advanced": (0.95, 0.8601, 1.0),
}
SHORT = st.lists(
    st.tuples(st.floats(0.0, 0.024), st.one_of(st.none(), st.floats(0.0, 1.0))),
    min_size=1,
    max_size=4,
)
"""Up to four moves, 0.096 s in all: less than a lever needs to settle."""


@st.composite
def excursions(draw: st.DrawFn) -> tuple[tuple[str, str], list[tuple[int, Any, float, float]]]:
    """The sides of two levers, and short excursions: which lever, how, where it ends, then rest."""
    sides = draw(st.tuples(st.sampled_from([*RESTS]), st.sampled_from([*RESTS])))
    count = draw(st.integers(1, 6))
    made = []
    for _ in range(count):
        place = draw(st.integers(0, 1))
        rest = draw(st.sampled_from(RESTS[sides[place]]))
        made.append((place, draw(SHORT), rest, draw(st.sampled_from([0.0, 0.2, 1.0]))))
    return sides, made


@settings(max_examples=examples(150), deadline=None)
@example(  # the figures of the report: a dip that ends between the limits
    story=(("open", "open"), [(0, [(0.0, 0.78), (0.001, 0.78)], 0.80, 1.0)]),
    rearm="any_retard",
    silenced=False,
)
@given(
    story=excursions(),
    rearm=st.sampled_from(["any_retard", "lever_advanced", "all_levers_advanced"]),
    silenced=st.booleans(),
)
def test_law_no_excursion_shorter_than_the_settling_time_does_anything(
    story: tuple[tuple[str, str], list[tuple[int, Any, float, float]]], rearm: str, silenced: bool
) -> None:
    """Our own decision, from 14 CFR 25.729(e)(5): no sound, silence or re-arming, no event.

    By hand: setting 0.79, band 0.04, settling 0.1 s. A dip to 0.78 for 1 ms that ends at 0.80, in
    the band, leaves an open lever open; one that ends at 0.83 leaves a closed lever closed.
    """
    sides, made = story
    bench = WarningStage({**GATES, "rearm": rearm, "throttle_hysteresis_fraction": 0.04})
    bench.after(1.0, levers=tuple([RESTS[side][0] for side in sides]))
    bench.after(1.0)
    if silenced:
        bench.press()
    expected = (bench.shown, bench.is_silenced(), bench.logged)
    for place, moves, rest, rest_s in made:
        for step_s, value in moves:
            bench.after(step_s, **{f"lever_{place + 1}": value})
            assert (bench.shown, bench.is_silenced(), bench.logged) == expected
        bench.after(0.0, **{f"lever_{place + 1}": rest})
        bench.after(rest_s)
        assert (bench.shown, bench.is_silenced(), bench.logged) == expected
        event(f"{sides[place]}, {'silenced' if expected[1] else 'not silenced'}")


MOMENTS = st.lists(st.tuples(st.sampled_from([0.003, 0.04, 0.1, 0.3, 0.7]), CHANGES), max_size=25)


def as_moves(moments: list[tuple[float, dict[str, Any]]]) -> list[Move]:
    """Levers one by one; a button that was pressed is released with the next change."""
    moves: list[Move] = []
    for wait_s, change in moments:
        released = {"horn_silence": False, "lever_horn_silence": False}
        levers = {f"lever_{n + 1}": one for n, one in enumerate(change.get("levers", ()))}
        rest = {name: value for name, value in change.items() if name != "levers"}
        moves.append((wait_s, {**released, **levers, **rest}))
    return moves


@given(
    moments=MOMENTS,
    rearm=st.sampled_from(["any_retard", "lever_advanced", "all_levers_advanced"]),
    fine=st.integers(2, 4),
    after=st.integers(0, 25),
)
def test_law_extra_looks_and_a_restored_copy_change_nothing(
    moments: list[tuple[float, dict[str, Any]]], rearm: str, fine: int, after: int
) -> None:
    def make() -> Stage[GearWarning]:
        return WarningStage({**GATES, "rearm": rearm, "shortest_sounding_s": 0.5}).stage

    extra_looks_change_nothing(make, as_moves(moments), fine)
    restored_goes_on_the_same(make, as_moves(moments), after)
