"""One door."""

from __future__ import annotations

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.logic.gear_doors import Door, DoorParameters, DoorState


class DoorBench:
    """A door with its timer run."""

    def __init__(self, *, is_open: bool = False) -> None:
        self.timers = TimerHeap()
        self.door = Door(
            DoorParameters(open_s=2.0, close_s=4.0), "door", self.timers, is_open=is_open
        )

    def at(self, now_s: float) -> tuple[str, float]:
        while (due := self.timers.pop_due(now_s)) is not None:
            self.door.timer_due(due[0])
        return self.door.state.value, self.door.open_fraction(now_s)


def test_it_opens_and_closes_in_its_times() -> None:
    bench = DoorBench()
    assert bench.at(0.0) == ("closed", 0.0)
    bench.door.drive(1.0, to_open=True)
    assert bench.at(2.0) == ("opening", 0.5)
    assert bench.at(2.999)[0] == "opening"
    assert bench.at(3.0) == ("open", 1.0)
    bench.door.drive(5.0, to_open=False)
    assert bench.at(6.0) == ("closing", 0.75)
    assert bench.at(8.999)[0] == "closing"
    assert bench.at(9.0) == ("closed", 0.0)
    assert len(bench.timers) == 0


def test_driven_by_nothing_it_stops_and_goes_on_later() -> None:
    bench = DoorBench(is_open=True)
    assert bench.at(0.0) == ("open", 1.0)
    bench.door.drive(0.0, to_open=False)
    bench.door.drive(1.0, to_open=None)
    assert bench.at(50.0) == ("stopped", 0.75)
    assert len(bench.timers) == 0
    bench.door.drive(50.0, to_open=False)
    assert bench.at(53.0) == ("closed", 0.0)


def test_it_turns_round_on_its_way() -> None:
    bench = DoorBench()
    bench.door.drive(0.0, to_open=True)
    bench.door.drive(1.0, to_open=False)
    assert bench.at(2.0) == ("closing", 0.25)
    bench.door.drive(2.0, to_open=True)
    assert bench.at(3.5) == ("open", 1.0)


@pytest.mark.parametrize("state", ["closed", "open"])
def test_at_its_end_nothing_driving_it_changes_nothing(state: str) -> None:
    bench = DoorBench(is_open=state == "open")
    bench.door.drive(0.0, to_open=None)
    bench.door.drive(0.0, to_open=state == "open")
    assert bench.at(10.0)[0] == state


def test_jammed_it_stays_and_freed_it_does_what_was_asked_last() -> None:
    bench = DoorBench()
    bench.door.jam(0.0, jammed=True)
    bench.door.drive(0.0, to_open=True)
    assert bench.at(10.0) == ("closed", 0.0)
    bench.door.jam(10.0, jammed=False)
    assert bench.at(11.0) == ("opening", 0.5)
    bench.door.jam(11.0, jammed=True)
    bench.door.drive(11.0, to_open=True)
    assert bench.at(20.0) == ("stopped", 0.5)
    bench.door.drive(20.0, to_open=None)
    bench.door.jam(20.0, jammed=False)
    assert bench.at(30.0) == ("stopped", 0.5)
    assert {state.value for state in DoorState} == {
        *("closed", "opening", "open", "closing", "stopped")
    }
