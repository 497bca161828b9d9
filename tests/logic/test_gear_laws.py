"""What holds of the gear whatever the pilot, the power and the failures do.

E-6: Airplane Flying Handbook p. 245 (no leg from lock to lock in one step). I5: weight on the
struts (fig. 12-12). I6, I7: 14 CFR 25.729(e)(1). A-20: US Army TM 1-1510-224-10. A-21: US Navy
P-307. A-22: US Army TM 55-1510-221-10.
"""

from __future__ import annotations

import pickle
from itertools import pairwise
from typing import Any

from hypothesis import event, example, given, settings
from hypothesis import strategies as st

from panelbridge.signals import LegState
from tests.examples import examples
from tests.logic.gear_rig import DOWN, NAMES, UP, Rig, three_legs

POWERS = st.fixed_dictionaries(
    {
        "power": st.sampled_from(["hydraulic", "electric_pack", "none_needed"]),
        "travel_limit_s": st.sampled_from([None, 5.003, 14.007]),
        "reversal_delay_s": st.sampled_from([0.0, 1.0009]),
        "uplocks": st.sampled_from(["mechanical", "pressure"]),
        "uplock_hold_s": st.sampled_from([0.0, 3.0011]),
    }
)
DOORS = st.sampled_from(
    [
        None,
        {"open_s": 1.0013, "close_s": 1.5017},
        {"open_s": 1.0013, "close_s": 1.5017, "close_when_down": False},
    ]
)
ORDERS = st.sampled_from(
    [
        {},
        {"extend": [["nose"], ["left", "right"]], "retract": [["right"], ["nose"]]},
    ]
)
MEANS = st.sampled_from(["air", "free_fall", "hand_pump"])
AIRCRAFT = st.tuples(POWERS, DOORS, ORDERS, MEANS, st.sampled_from([UP, DOWN]))
KNOWN = st.sampled_from([True, False, None])
LEG_FAULTS = st.sampled_from([None, "hung", "contradictory", "down_switch_stuck"])
CHANGES = st.one_of(
    st.tuples(st.just("handle"), st.sampled_from(["up", "down"])),
    st.tuples(st.just("handle"), st.sampled_from(["up", "down", "between", "both", "unknown"])),
    st.tuples(st.just("strut"), st.sampled_from([True, False, False, False, None])),
    st.tuples(st.sampled_from(["hydraulic", "bus"]), st.sampled_from([True, True, False, None])),
    st.tuples(st.sampled_from(["gear_reset", "release", "emergency", "hand_pump"]), KNOWN),
    st.tuples(st.sampled_from(NAMES), LEG_FAULTS),
    st.tuples(st.sampled_from(NAMES), st.sampled_from([None, "down_switch_open"])),
    st.tuples(
        st.sampled_from([f"{name}_door" for name in NAMES]), st.sampled_from([None, "jammed"])
    ),
    st.tuples(st.just("gear_power"), st.sampled_from([None, "failed"])),
)
GAPS = st.one_of(
    st.sampled_from([0.0, 0.05, 0.5]), st.integers(1, 900).map(lambda number: number * 0.0101)
)
MOVES = st.lists(st.tuples(GAPS, CHANGES), min_size=6, max_size=30)
ENDS = {LegState.UP_LOCKED, LegState.DOWN_LOCKED}


def make(aircraft: Any) -> Rig:
    power, door, order, means, found = aircraft
    legs = three_legs(door=door)
    return Rig(legs, power=power, order=order, emergency={"means": means}, found=found)


def apply(rig: Rig, name: str, value: Any) -> None:
    """One change: an input or a failure; what this aircraft has not is left out."""
    if name in rig.inputs:
        rig.at(rig.now_s, **{name: value})
    elif any(name == fault.name for fault in rig.faults):
        rig.fault(name, value)


class Watch:
    """Holds a rig against the laws after every step."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.scenes: set[str] = set()
        self._keep()

    def _keep(self) -> None:
        rig = self.rig
        self.seen = len(rig.frames)
        self.heavy = rig.inputs["strut"] is True
        self.locked_out = rig.facts.locked_out

    def hold(self) -> None:
        rig = self.rig
        for before, now in pairwise(rig.frames[self.seen - 1 :]):
            for was, leg in zip(before.states, now.states, strict=True):
                assert {was, leg} != ENDS, "E-6"
                if was is LegState.DOWN_LOCKED and leg is not LegState.DOWN_LOCKED:
                    assert leg is LegState.UNLOCKING_TO_RETRACT
                    assert not (self.heavy and rig.inputs["strut"] is True), "I5"
                    assert not self.locked_out, "A-20"
            every = zip(before.travels, now.travels, before.doors, now.doors, strict=True)
            for start, end, door, door_now in every:
                if start != end:
                    assert before.driven, "nothing drives it"
                    assert {door, door_now} <= {"open", "none"}, "E-7"
                    self.scenes.add("moved")
        if rig.facts.locked_out:
            assert rig.facts.demand is DOWN, "A-20"
            self.scenes.add("locked out")
        self.hold_lamps()
        count = len(rig.trace)
        rig.hold()
        assert len(rig.trace) == count, "looked at again, nothing is left to do"
        self._keep()

    def hold_lamps(self) -> None:
        rig = self.rig
        for leg, name in zip(rig.facts.legs, NAMES, strict=True):
            down = leg.state in (LegState.DOWN_LOCKED, LegState.UNLOCKING_TO_RETRACT)
            if name in rig.greens:
                assert down, "I6, I7: no green of a leg that is not locked down in truth"
                assert leg.is_down
            if leg.in_transit:
                assert name in rig.reds, "A-22"
                assert rig.handle_red, "A-6"
                self.scenes.add("in transit")
        if not rig.facts.doors_latched:
            assert rig.handle_red, "A-21"
        assert not (rig.greens and rig.reds & rig.greens)


@settings(max_examples=examples(80), deadline=None)
@given(aircraft=AIRCRAFT, moves=MOVES)
def test_laws_of_the_gear(aircraft: Any, moves: list[tuple[float, tuple[str, Any]]]) -> None:
    rig = make(aircraft)
    watch = Watch(rig)
    for gap_s, (name, value) in moves:
        rig.after(gap_s)
        watch.hold()
        apply(rig, name, value)
        watch.hold()
    for scene in watch.scenes:
        event(scene)
    finish(rig)


def finish(rig: Rig) -> None:
    """Everything mended and the handle down: the gear comes down and to rest."""
    for target in (*NAMES, *(f"{name}_door" for name in NAMES), "gear_power"):
        apply(rig, target, None)
    idle = dict.fromkeys(("gear_reset", "release", "emergency", "hand_pump"), False)
    rig.after(0.01, strut=False, hydraulic=True, bus=True, **idle)
    rig.after(1.0, handle="up").after(1.0, handle="down")
    for _ in range(40):
        rig.press("gear_reset").press("hand_pump").after(1.0)
    for _ in range(8):
        rig.press("gear_reset").after(30.0)
    assert rig.all_down
    assert rig.greens == set(NAMES)
    rig.after(1.0, strut=True).press("gear_reset").after(60.0)
    assert rig.doing == "idle"
    assert not rig.handle_red
    assert rig.facts.doors_latched


TURNED_ROUND: Any = (
    {"power": "hydraulic"},
    {"open_s": 1.0, "close_s": 1.0, "close_when_down": False},
    {},
    "air",
    DOWN,
)
"""Doors that stay open: a leg that is turned round while it unlocks is at its end at once."""
TURN = [(0.0, ("handle", "up")), (0.5, ("strut", False)), (0.05, ("handle", "down"))]
TURN_AT_ONCE = [(0.0, ("handle", "up")), (0.0, ("strut", False)), (0.0, ("handle", "down"))]
"""With a look at 0.025 s the power went idle then, without one only at the next move."""


@settings(max_examples=examples(150), deadline=None)
@given(aircraft=AIRCRAFT, moves=MOVES, parts=st.integers(2, 7))
@example(aircraft=TURNED_ROUND, moves=[*TURN, (0.05, ("strut", False))], parts=3)
@example(aircraft=TURNED_ROUND, moves=[*TURN_AT_ONCE, (0.05, ("handle", "up"))], parts=2)
def test_law_it_does_not_matter_how_often_it_looks(
    aircraft: Any, moves: list[tuple[float, tuple[str, Any]]], parts: int
) -> None:
    coarse, fine = make(aircraft), make(aircraft)
    now_s = 0.0
    for gap_s, (name, value) in moves:
        for part in range(1, parts):
            fine.at(now_s + gap_s * part / parts)
        now_s += gap_s
        for rig in (coarse, fine):
            rig.at(now_s)
            apply(rig, name, value)
        assert fine.leg_states == coarse.leg_states
        assert fine.travels() == coarse.travels()
        assert fine.facts == coarse.facts
        assert fine.gear.memory == coarse.gear.memory
    for rig in (coarse, fine):
        rig.after(100.0)
    assert fine.trace == coarse.trace
    assert fine.events == coarse.events


def test_turned_round_while_it_unlocks_the_power_stops_at_once() -> None:
    rig = make(TURNED_ROUND)
    for gap_s, (name, value) in TURN:
        rig.after(gap_s)
        apply(rig, name, value)
    assert rig.doing == "idle"
    powers = [(when_s, word) for when_s, name, word in rig.trace if name == "power"]
    assert powers == [(0.5, "running"), (0.55, "idle")]


@settings(max_examples=examples(100), deadline=None)
@given(aircraft=AIRCRAFT, moves=MOVES, place=st.integers(0, 30))
def test_law_saved_anywhere_it_goes_on_the_same(
    aircraft: Any, moves: list[tuple[float, tuple[str, Any]]], place: int
) -> None:
    rig, other = make(aircraft), make(aircraft)
    place = min(place, len(moves))
    for gap_s, (name, value) in moves[:place]:
        rig.after(gap_s)
        apply(rig, name, value)
    other.at(rig.now_s + 5.0, handle="between", strut=None)
    saved = rig.loop.save()
    other.loop.restore(pickle.loads(pickle.dumps(saved)) if place == len(moves) else saved)
    other.now_s = rig.now_s
    for one in (rig, other):
        one.events.clear()
        for gap_s, (name, value) in [*moves[place:], (200.0, ("bus", True))]:
            one.after(gap_s)
            apply(one, name, value)
    assert other.events == rig.events
    assert other.facts == rig.facts
    assert other.gear.memory == rig.gear.memory
    assert other.loop.save() == rig.loop.save()


@settings(max_examples=examples(100), deadline=None)
@given(
    aircraft=AIRCRAFT,
    first=st.fixed_dictionaries(
        {
            "handle": st.sampled_from(["up", "down", "between", "both", "unknown"]),
            "strut": KNOWN,
            "gear_reset": KNOWN,
            "release": KNOWN,
            "emergency": KNOWN,
            "hand_pump": KNOWN,
            "bus": KNOWN,
        }
    ),
)
def test_law_nothing_moves_at_the_start(aircraft: Any, first: dict[str, Any]) -> None:
    power, door, order, means, found = aircraft
    power = {**power, "uplocks": "mechanical"}
    legs = three_legs(door=door)
    rig = Rig(legs, power=power, order=order, emergency={"means": means}, found=found, first=first)
    rig.at(600.0)
    assert rig.trace == []
    assert rig.all_up if found is UP else rig.all_down
