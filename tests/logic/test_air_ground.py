"""Air/ground from the squat switches."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.logic.air_ground import AirGround, AirGroundParameters
from panelbridge.logic.events import EventLog


class Struts:
    """An air/ground system with its timers run as the logic runs them."""

    def __init__(self, legs: int = 3, settle_s: float = 0.2, limit_s: float = 15.0) -> None:
        self.timers = TimerHeap()
        self.log = EventLog()
        parameters = AirGroundParameters(settle_s=settle_s, disagree_limit_s=limit_s)
        self.system = AirGround(parameters, legs, self.timers, self.log)
        self.told: list[tuple[float, str]] = []

    def at(self, now_s: float, compressed: Sequence[bool | None] | None = None) -> None:
        while (due := self.timers.pop_due(now_s)) is not None:
            assert self.system.timer_due(*due)
            self.system.update(due[0])
        if compressed is not None:
            self.system.take(now_s, compressed)
        self.system.update(now_s)
        self.told.extend((round(h.time_s, 6), h.name) for h in self.log.take())

    def is_fault(self) -> bool:
        return self.system.is_fault

    @property
    def says(self) -> tuple[bool, bool]:
        """(on the ground for commands, in the air for warnings)."""
        return self.system.ground_for_commands, self.system.air_for_warnings


GROUND, AIR, DOUBT = (True, False), (False, True), (True, True)


def test_nothing_known_is_ground_for_commands_and_air_for_warnings() -> None:
    struts = Struts()
    struts.at(0.0)
    assert struts.says == DOUBT
    assert not struts.system.has_weight
    assert struts.system.struts == (None, None, None)


@pytest.mark.parametrize("on", [True, False])
def test_found_standing_or_flying_is_not_told(on: bool) -> None:
    struts = Struts()
    struts.at(0.0, (on, on, on))
    assert struts.says == (GROUND if on else AIR)
    assert struts.system.has_weight is on
    assert struts.told == []


def test_take_off_and_touch_down_are_told_when_the_last_strut_has_settled() -> None:
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
    assert struts.told == [(6.2, "took_off"), (101.2, "touched_down")]


def test_a_bounce_shorter_than_the_settling_time_is_not_seen() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    for number in range(10):
        struts.at(1.0 + number, (False, False, False))
        struts.at(1.199 + number, (True, True, True))
        assert struts.says == GROUND
    struts.at(60.0)
    assert struts.told == []


@pytest.mark.parametrize("start", [True, False])
def test_differing_struts_keep_what_was_agreed_for_warnings_only(start: bool) -> None:
    struts = Struts()
    struts.at(0.0, (start, start, start))
    struts.at(1.0, (start, not start, start))
    struts.at(2.0)
    assert struts.says == (GROUND if start else DOUBT)
    assert struts.system.has_weight
    assert not struts.is_fault()


def test_struts_that_differ_from_the_start_are_doubt() -> None:
    struts = Struts()
    struts.at(0.0, (True, False, True))
    assert struts.says == DOUBT
    assert struts.told == []


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
    assert struts.told == [(16.2, "struts_disagreed"), (20.2, "struts_agreed")]


def test_the_limit_begins_anew_at_each_disagreement() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    for number in range(5):
        struts.at(10.0 + 20 * number, (True, False, True))
        struts.at(20.0 + 20 * number, (True, True, True))
        struts.at(20.5 + 20 * number)
        assert len(struts.timers) == 0, "nobody is woken for nothing"
    struts.at(300.0)
    assert struts.told == []


def test_a_lost_strut_is_doubt_and_ends_a_fault() -> None:
    struts = Struts()
    struts.at(0.0, (False, False, False))
    struts.at(1.0, (False, None, False))
    assert struts.says == DOUBT
    assert struts.system.struts == (False, None, False)
    struts.at(2.0, (False, True, False))
    struts.at(20.0)
    assert struts.is_fault()
    struts.at(21.0, (None, None, None))
    assert not struts.is_fault()
    assert struts.says == DOUBT
    assert not struts.system.has_weight
    assert [name for _, name in struts.told] == ["struts_disagreed", "struts_agreed"]


def test_a_strut_that_comes_back_counts_at_once() -> None:
    struts = Struts()
    struts.at(0.0, (False, False, False))
    struts.at(1.0, (None, None, None))
    struts.at(2.0, (True, True, True))
    assert struts.says == GROUND
    assert struts.told == [(2.0, "touched_down")]


def test_a_change_that_was_settling_when_the_strut_was_lost_is_forgotten() -> None:
    struts = Struts()
    struts.at(0.0, (True, True, True))
    struts.at(1.0, (False, True, True))
    struts.at(1.1, (None, True, True))
    assert len(struts.timers) == 0
    struts.at(5.0)
    assert struts.system.struts == (None, True, True)


def test_missing_struts_are_unknown_and_surplus_ones_are_not_read() -> None:
    struts = Struts()
    struts.at(0.0, (False, False))
    assert struts.says == DOUBT
    assert struts.system.struts == (False, False, None)
    struts.at(1.0, (False, False, False, True))
    assert struts.says == AIR


def test_a_known_strut_with_weight_counts_though_another_is_lost() -> None:
    struts = Struts()
    struts.at(0.0, (True, None, None))
    assert struts.system.has_weight
    assert struts.says == DOUBT


def test_timers_of_others_are_left_alone() -> None:
    system = Struts().system
    assert not system.timer_due(0.0, ("leg", "nose"))
    assert not system.timer_due(0.0, "handle travel")
