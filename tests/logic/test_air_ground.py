"""Air/ground from the squat switches."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.air_ground.parameters import AirGroundParameters
from panelbridge.logic.air_ground.system import AirGround
from panelbridge.logic.kit.aircraft_cells import strut
from tests.examples import examples
from tests.logic.stage import Input, Stage


class Struts:
    """Air/ground with the squat switches of three legs."""

    def __init__(self, settle_s: float = 0.2, limit_s: float = 15.0) -> None:
        parameters = AirGroundParameters(settle_s=settle_s, disagree_limit_s=limit_s)
        names: dict[str, Input] = {f"strut_{place}": strut(place) for place in range(3)}
        self.stage = Stage(AirGround(parameters, 3), names)

    def at(self, now_s: float, compressed: Sequence[bool | None] = ()) -> None:
        self.stage.at(now_s, **{f"strut_{n}": value for n, value in enumerate(compressed)})
        self.stage.hold()

    @property
    def facts(self) -> AirGroundFacts:
        return self.stage.system.facts

    def is_fault(self) -> bool:
        return self.facts.is_fault

    def on_ground(self) -> bool | None:
        return self.facts.on_ground

    @property
    def says(self) -> tuple[bool, bool]:
        """(on the ground for commands, in the air for warnings)."""
        return self.facts.ground_for_commands, self.facts.air_for_warnings

    @property
    def logged(self) -> list[tuple[float, str]]:
        return [(when_s, name) for when_s, name, _ in self.stage.logged]


GROUND, AIR, DOUBT = (True, False), (False, True), (True, True)


def test_nothing_known_is_ground_for_commands_and_air_for_warnings() -> None:
    struts = Struts()
    struts.at(0.0)
    assert struts.says == DOUBT
    assert not struts.facts.has_weight
    assert struts.facts.struts == (None, None, None)


@pytest.mark.parametrize("on", [True, False])
def test_found_standing_or_flying_is_not_reported(on: bool) -> None:
    struts = Struts()
    struts.at(0.0, (on, on, on))
    assert struts.says == (GROUND if on else AIR)
    assert struts.facts.has_weight is on
    assert struts.logged == []


def test_take_off_and_touch_down_are_reported_when_the_last_strut_has_settled() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    struts.at(5.0, (False, True, True))  # rotation
    struts.at(6.0, (False, False, False))
    assert struts.says[0]
    struts.at(6.19)
    assert struts.says[0]
    struts.at(20.0)
    assert struts.says == AIR
    struts.at(100.0, (False, True, False))  # one wheel first
    struts.at(100.1, (False, True, True))
    struts.at(101.0, (True, True, True))
    struts.at(102.0)
    assert struts.says == GROUND
    assert struts.logged == [(6.2, "took_off"), (101.2, "touched_down")]


def test_a_bounce_shorter_than_the_settling_time_is_not_seen() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    for number in range(10):
        struts.at(1.0 + number, (False, False, False))
        struts.at(1.199 + number, (True, True, True))
        assert struts.says == GROUND
    struts.at(60.0)
    assert struts.logged == []


@pytest.mark.parametrize("start", [True, False])
def test_differing_struts_keep_what_was_agreed_for_warnings_only(start: bool) -> None:
    struts = Struts()
    struts.at(0.0, (start, start, start))
    struts.at(1.0, (start, not start, start))
    struts.at(2.0)
    assert struts.says == (GROUND if start else DOUBT)
    assert struts.facts.has_weight
    assert not struts.is_fault()


def test_struts_that_differ_from_the_start_are_doubt() -> None:
    struts = Struts()
    struts.at(0.0, (True, False, True))
    assert struts.says == DOUBT
    assert struts.logged == []


def test_struts_that_differ_for_longer_than_the_limit_are_a_fault_until_they_agree() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    struts.at(1.0, (True, False, True))
    struts.at(16.1)
    assert not struts.is_fault()
    struts.at(17.0)
    assert struts.is_fault()
    assert struts.says == DOUBT
    struts.at(20.0, (True, True, True))
    struts.at(21.0)
    assert not struts.is_fault()
    assert struts.says == GROUND
    assert struts.logged == [(16.2, "struts_disagreed"), (20.2, "struts_agreed")]


def test_the_limit_begins_again_at_each_disagreement() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    for number in range(5):
        struts.at(10.0 + 20 * number, (True, False, True))
        struts.at(20.0 + 20 * number, (True, True, True))
        struts.at(20.5 + 20 * number)
        assert struts.stage.loop.next_due_s == inf, "nothing is woken for nothing"
    struts.at(300.0)
    assert struts.logged == []


def test_a_lost_strut_is_doubt_and_ends_a_fault() -> None:
    struts = Struts()
    struts.at(0.0, (False, False, False))
    struts.at(1.0, (False, None, False))
    assert struts.says == DOUBT
    assert struts.facts.struts == (False, None, False)
    struts.at(2.0, (False, True, False))
    struts.at(20.0)
    assert struts.is_fault()
    struts.at(21.0, (None, None, None))
    assert not struts.is_fault()
    assert struts.says == DOUBT
    assert not struts.facts.has_weight
    assert [name for _, name in struts.logged] == ["struts_disagreed", "struts_agreed"]


def test_a_strut_that_comes_back_counts_at_once() -> None:
    struts = Struts()
    struts.at(0.0, (False, False, False))
    struts.at(1.0, (None, None, None))
    struts.at(2.0, (True, True, True))
    assert struts.says == GROUND
    assert struts.logged == [(2.0, "touched_down")]


def test_a_change_that_was_settling_when_the_strut_was_lost_is_forgotten() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    struts.at(1.0, (False, True, True))
    struts.at(1.1, (None, True, True))
    assert struts.stage.loop.next_due_s == inf
    struts.at(5.0)
    assert struts.facts.struts == (None, True, True)


def test_a_known_strut_with_weight_counts_though_another_is_lost() -> None:
    struts = Struts()
    struts.at(0.0, (True, None, None))
    assert struts.facts.has_weight
    assert struts.says == DOUBT


def test_what_it_shows() -> None:
    struts = Struts()
    struts.at(0.0)
    world = struts.stage.loop.world(0.0)
    assert struts.stage.system.shows(world) == {"on_ground": True}
    assert struts.stage.value("on_ground") is True
    assert struts.stage.system.failures() == ()
    struts.at(1.0, (False, False, False))
    assert struts.stage.value("on_ground") is False
    struts.at(2.0, (False, True, False))
    struts.at(20.0)
    assert struts.stage.value("on_ground") is True
    assert struts.stage.system.failures() == ("the squat switches disagree",)


def test_certain_is_neither_doubt() -> None:
    struts = Struts()
    struts.at(0.0)
    assert struts.on_ground() is None
    struts.at(1.0, (True, True, True))
    assert struts.on_ground() is True
    struts.at(2.0, (False, False, False))
    struts.at(3.0)
    assert struts.on_ground() is False


# -- laws -----------------------------------------------------------------------------------------

CHANGES = st.dictionaries(
    st.sampled_from(["strut_0", "strut_1", "strut_2"]),
    st.sampled_from([True, True, False, False, None]),
)
GAPS = st.one_of(st.sampled_from([0.0, 0.1, 0.2, 14.8, 15.0]), st.floats(0.001, 20.0))
SCRIPTS = st.lists(st.tuples(GAPS, CHANGES, st.none()), min_size=1, max_size=20)


@settings(max_examples=examples(100), deadline=None)
@given(script=SCRIPTS, settle_s=st.sampled_from([0.0, 0.2]), fine_s=st.floats(0.05, 1.0))
def test_law_extra_looks_change_nothing(
    script: list[tuple[float, dict[str, bool | None], None]], settle_s: float, fine_s: float
) -> None:
    coarse, fine = Struts(settle_s).stage, Struts(settle_s).stage
    assert fine.play(script, fine_s=fine_s) == coarse.play(script)
    assert fine.system.memory == coarse.system.memory


@settings(max_examples=examples(100), deadline=None)
@given(script=SCRIPTS, place=st.integers(0, 20))
def test_law_saved_anywhere_it_goes_on_the_same(
    script: list[tuple[float, dict[str, bool | None], None]], place: int
) -> None:
    stage, other = Struts().stage, Struts().stage
    stage.play(script[:place])
    other.at(stage.now_s, strut_0=False, strut_1=True)
    other.loop.restore(pickle.loads(pickle.dumps(stage.loop.save())))
    for one in (stage, other):
        one.now_s = stage.now_s
        one.events.clear()
    rest = [*script[place:], (30.0, {}, None)]
    assert other.play(rest) == stage.play(rest)
    assert other.loop.save() == stage.loop.save()
