"""One door."""

from __future__ import annotations

from math import inf

import pytest

from panelbridge.logic.gear.doors import DOOR_WORDS, Door
from panelbridge.logic.gear.parameters import DoorParameters

NUMBERS = DoorParameters(open_s=2.0, close_s=4.0)


class DoorBench:
    """A door, from due time to due time."""

    def __init__(self, *, is_open: bool = False) -> None:
        self.door = Door.found(is_open=is_open)

    def at(self, now_s: float) -> tuple[str, float]:
        while (due_s := self.door.due_s) <= now_s:
            self.door = self.door.came_due(due_s, NUMBERS)
        return self.door.word, self.door.travel.at(now_s)

    def drive(self, now_s: float, *, to_open: bool | None) -> None:
        self.at(now_s)
        self.door = self.door.drive(now_s, NUMBERS, to_open)


def test_it_opens_and_closes_in_its_times() -> None:
    bench = DoorBench()
    assert bench.at(0.0) == ("closed", 0.0)
    bench.drive(1.0, to_open=True)
    assert bench.at(2.0) == ("opening", 0.5)
    assert bench.at(2.999)[0] == "opening"
    assert bench.at(3.0) == ("open", 1.0)
    bench.drive(5.0, to_open=False)
    assert bench.at(6.0) == ("closing", 0.75)
    assert bench.at(8.999)[0] == "closing"
    assert bench.at(9.0) == ("closed", 0.0)
    assert bench.door.due_s == inf


def test_driven_by_nothing_it_stops_and_goes_on_later() -> None:
    bench = DoorBench(is_open=True)
    assert bench.at(0.0) == ("open", 1.0)
    bench.drive(0.0, to_open=False)
    bench.drive(1.0, to_open=None)
    assert bench.at(50.0) == ("stopped", 0.75)
    assert bench.door.due_s == inf
    bench.drive(50.0, to_open=False)
    assert bench.at(53.0) == ("closed", 0.0)


def test_it_turns_round_on_its_way() -> None:
    bench = DoorBench()
    bench.drive(0.0, to_open=True)
    bench.drive(1.0, to_open=False)
    assert bench.at(2.0) == ("closing", 0.25)
    bench.drive(2.0, to_open=True)
    assert bench.at(3.5) == ("open", 1.0)


@pytest.mark.parametrize("state", ["closed", "open"])
def test_at_its_end_nothing_driving_it_changes_nothing(state: str) -> None:
    bench = DoorBench(is_open=state == "open")
    bench.drive(0.0, to_open=None)
    bench.drive(0.0, to_open=state == "open")
    assert bench.at(10.0)[0] == state


def test_its_words() -> None:
    assert set(DOOR_WORDS) == {"closed", "opening", "open", "closing", "stopped"}
