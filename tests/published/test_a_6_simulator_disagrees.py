"""The simulator behind the panel's back: its handle or its legs moved, or its legs never lock.

Our own decision, from the principle of 14 CFR 25.729(e)(1), (e)(5). What is conserved: the panel's
command and its own legs; nothing moves because the simulator's handle was moved. Limits: unknown
disagrees with nothing; null is for ever; a new movement of the legs has its whole time.

By hand, limits 5 s and 30 s: simulator's handle up at 10.0, panel down: fault at 15.0; back at
14.9: none. Legs of the feed free from 10.0 on: fault at 40.0; asked up at 35.0: at 65.0.
"""

from __future__ import annotations

import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.agreement.parameters import AgreementParameters
from panelbridge.logic.agreement.system import Agreement
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.kit.aircraft_cells import SIMULATOR_HANDLE
from panelbridge.signals import LegState
from tests.logic.build import (
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    NOT_KNOWN,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_down,
    switches,
    twin,
)
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Input, Stage

LAMP = "simulator_disagrees_amber"
HANDLE_FAULT = "the simulator's gear handle is not where the panel asks"
LEGS_FAULT = "the simulator's legs are not locked where they are asked to be"
NAMES: dict[str, Input] = {
    "simulator": SIMULATOR_HANDLE,
    "demand": (GearFacts, "demand"),
    "handle": (GearFacts, "handle"),
    "handle_fault": (GearFacts, "handle_fault"),
    "is_agreeing": (GearFacts, "is_agreeing"),
    "legs": (GearFacts, "legs"),
    "all_down": (GearFacts, "all_down"),
    "all_up": (GearFacts, "all_up"),
}


def stage(*, fed_legs: bool = False, **limits: Any) -> Stage[Agreement]:
    """Gear and both handles down, agreed."""
    made = Stage(
        Agreement(AgreementParameters(**limits), fed_legs=fed_legs),
        NAMES,
        simulator=DOWN,
        demand=DOWN,
        handle=DOWN,
        is_agreeing=False,
        all_down=True,
    )
    made.at(0.0)
    return made


def test_the_simulator_s_handle_that_is_moved() -> None:
    """The figures of the head; the panel is followed, its greens and its command stay."""
    bench = flying_gear_down()
    bench.at(10.0)
    bench.take_names()
    command, greens = bench.command, bench.greens
    bench.at(10.0, aircraft=changed(bench.aircraft, gear_handle=UP))
    bench.at(14.99)
    assert LAMP not in bench.lit
    bench.at(15.0)
    (event,) = bench.events
    assert (event.time_s, event.name) == (15.0, "simulator_handle_disagreed")
    assert "is up and the panel asks for down" in event.text
    assert "the panel is followed" in event.text
    assert LAMP in bench.lit
    assert HANDLE_FAULT in bench.logic.view().faults
    assert (bench.command, bench.greens) == (command, greens)
    reasons = {one.condition: one for one in bench.logic.reasons(LAMP)}
    assert reasons["simulator's handle differs for 5 s"].holds
    assert reasons["simulator's handle differs for 5 s"].detail == "simulator up, panel down"
    bench.at(20.0, aircraft=changed(bench.aircraft, gear_handle=DOWN))
    assert bench.names == ["simulator_handle_disagreed", "simulator_handle_agreed"]
    assert LAMP not in bench.lit


def test_a_handle_that_is_back_in_time_is_no_fault() -> None:
    one = stage()
    one.at(10.0, simulator=UP)
    one.at(14.9, simulator=DOWN)
    one.at(15.0, simulator=UP)
    one.at(19.99)
    assert one.names == []
    one.at(20.0)
    assert one.logged == [(20.0, "simulator_handle_disagreed", "")]


def test_moving_the_panel_s_handle_commands_again() -> None:
    bench = flying_gear_down()
    bench.after(1.0, aircraft=changed(bench.aircraft, gear_handle=UP))
    bench.after(10.0)
    assert LAMP in bench.lit
    bench.after(1.0, switches("up"))
    assert bench.command == "up"
    assert LAMP not in bench.lit


@pytest.mark.parametrize(
    "unknown", [{"simulator": None}, {"is_agreeing": True, "handle": None}, {"handle_fault": "x"}]
)
def test_what_is_unknown_disagrees_with_nothing(unknown: dict[str, Any]) -> None:
    one = stage()
    one.at(1.0, simulator=UP)
    one.at(2.0, **unknown)
    one.at(500.0)
    assert one.names == []
    assert one.value("simulator_agrees") is True


def test_before_they_agree_the_handle_itself_is_compared() -> None:
    one = stage()
    one.at(1.0, is_agreeing=True, handle=UP)
    one.at(6.0)
    assert one.value("simulator_agrees") is False


def test_legs_of_the_feed_that_never_lock() -> None:
    """The figures of the head; lamps and horn follow the simulator."""
    bench = Bench(fed_twin())
    whole = air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3)
    bench.at(0.0, switches("down"), whole)
    bench.at(10.0, aircraft=changed(whole, leg_locks=(LOCKED_DOWN, FREE, LOCKED_DOWN)))
    bench.at(39.99)
    assert LAMP not in bench.lit
    bench.at(40.0)
    assert bench.logged[-1] == (40.0, "simulator_legs_disagreed", "")
    assert "the lamps follow the simulator" in bench.events[-1].text
    assert LAMP in bench.lit
    assert bench.greens == {"nose", "right"}
    assert LEGS_FAULT in bench.logic.view().faults
    bench.at(50.0, aircraft=whole)
    assert bench.logged[-1] == (50.0, "simulator_legs_agreed", "")
    assert LAMP not in bench.lit


def test_a_new_movement_has_its_whole_time() -> None:
    one = stage(fed_legs=True)
    one.at(10.0, all_down=False)
    one.at(35.0, demand=UP, simulator=UP)
    one.at(64.99)
    assert one.names == []
    one.at(65.0)
    assert one.names == ["simulator_legs_disagreed"]


def test_legs_that_go_where_nobody_asked_them_to() -> None:
    """The simulator's own handle and legs go up; the panel's handle is down."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3))
    bench.at(10.0, aircraft=air(gear_handle=UP, leg_locks=(LOCKED_UP,) * 3))
    bench.at(60.0)
    faults = bench.logic.view().faults
    assert {HANDLE_FAULT, LEGS_FAULT} <= set(faults)
    assert bench.greens == set()


@pytest.mark.parametrize("locks", [(NOT_KNOWN,) * 3, (LOCKED_DOWN, NOT_KNOWN, FREE)])
def test_unknown_legs_disagree_with_nothing(locks: tuple[Any, ...]) -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3))
    bench.at(10.0, aircraft=air(gear_handle=DOWN, leg_locks=locks))
    bench.at(100.0)
    assert LEGS_FAULT not in bench.logic.view().faults


def test_before_they_agree_legs_have_to_be_locked_somewhere() -> None:
    one = stage(fed_legs=True)
    one.at(1.0, is_agreeing=True, handle=None, simulator=None, all_down=False, all_up=True)
    one.at(100.0)
    assert one.names == []
    one.at(101.0, all_up=False)
    one.at(131.0)
    assert one.names == ["simulator_legs_disagreed"]


def test_legs_of_the_model_are_the_panel_s_own() -> None:
    one = stage()
    one.at(1.0, all_down=False, legs=(LegFacts(LegState.EXTENDING),))
    one.at(1000.0)
    assert one.names == []


def test_null_switches_each_off() -> None:
    off = {"agreement": {"handle_limit_s": None, "legs_limit_s": None}}
    bench = Bench(twin(authority={"legs": "feed"}, **off))
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3))
    bench.at(10.0, aircraft=air(gear_handle=UP, leg_locks=(FREE,) * 3))
    bench.at(1000.0)
    assert not {one for one in bench.names if one.startswith("simulator_")}


CHANGES = st.one_of(
    st.fixed_dictionaries({"simulator": st.sampled_from([None, UP, DOWN])}),
    st.fixed_dictionaries({"demand": st.sampled_from([UP, DOWN])}),
    st.fixed_dictionaries({"handle": st.sampled_from([None, UP, DOWN])}),
    st.fixed_dictionaries({"is_agreeing": st.booleans()}),
    st.fixed_dictionaries({"all_down": st.booleans()}),
)
MOVES = st.lists(st.tuples(st.sampled_from([0.0, 0.5, 3.0, 5.0, 20.0, 40.0]), CHANGES), max_size=20)


@settings(deadline=None)
@given(moves=MOVES, fed=st.booleans(), fine=st.integers(2, 4), after=st.integers(0, 20))
def test_law_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[tuple[float, dict[str, Any]]], fed: bool, fine: int, after: int
) -> None:
    extra_looks_change_nothing(lambda: stage(fed_legs=fed), moves, fine)
    restored_goes_on_the_same(lambda: stage(fed_legs=fed), moves, after)
    one = stage(fed_legs=fed)
    for wait_s, changes in moves:
        one.after(wait_s, **changes)
        one.hold()
    assert pickle.loads(pickle.dumps(one.loop.save())) == one.loop.save()


def test_the_reason_says_that_the_panel_asks_for_nothing() -> None:
    """A handle with a fault asks for nothing, and an unknown one of the simulator for none."""
    one = stage()
    one.after(1.0, handle_fault=True, simulator=None)
    (reason,) = one.system.words(one.loop.world(one.now_s))["handle_disagrees"]
    assert reason.detail == "simulator unknown, panel nothing"
