from __future__ import annotations

import heapq
import threading
from collections.abc import Hashable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.clock import LiveClock, PacedClock, TimerHeap, VirtualClock
from panelbridge.errors import LogicError


def test_virtual_clock_moves_only_when_told() -> None:
    clock = VirtualClock(5.0)
    assert clock.now() == 5.0
    clock.sleep_until(7.5)
    assert clock.now() == 7.5
    clock.sleep_until(1.0)  # that has passed: time never runs backwards
    assert clock.now() == 7.5
    clock.advance(0.5)
    assert clock.now() == 8.0
    with pytest.raises(LogicError, match="backwards"):
        clock.advance(-0.1)


def test_live_clock_never_runs_backwards_and_sleeps_long_enough() -> None:
    clock = LiveClock()
    before = clock.now()
    clock.sleep_until(before + 0.01)
    assert clock.now() >= before + 0.01
    clock.sleep_until(before)  # returns at once


def test_paced_clock_moves_in_whole_steps_and_holds_back() -> None:
    real = LiveClock()
    clock = PacedClock(speed=100.0)
    start = real.now()
    for step in range(1, 11):
        clock.sleep_until(step * 0.2)
        assert clock.now() == step * 0.2
    # 2 s at 100x are 0.02 s of real time; it never goes faster than asked.
    assert real.now() - start >= 0.019


class RealTime(VirtualClock):
    """Real time whose sleeps are noted; at ``woken_s`` somebody wakes who sleeps."""

    def __init__(self) -> None:
        super().__init__()
        self.sleeps: list[float] = []
        self.woken_s = float("inf")

    def sleep_until(self, due_s: float) -> None:
        self.sleeps.append(min(due_s, self.woken_s))
        super().sleep_until(self.sleeps[-1])
        self.woken_s = float("inf")


def test_paced_clock_may_be_a_little_ahead_and_never_behind() -> None:
    real = RealTime()
    clock = PacedClock(1.0, real, ahead_s=0.5)
    for tick in range(1, 13):
        clock.sleep_until(tick * 0.25)
        assert clock.now() == tick * 0.25
        assert 0.0 <= clock.now() - real.now() <= 0.5
    assert real.sleeps == [0.75, 1.5, 2.25, 3.0]  # to the very time, then two ticks without
    assert clock.another()._ahead_s == 0.5


def test_paced_clock_that_is_woken_is_on_real_time_for_a_while() -> None:
    real = RealTime()
    clock = PacedClock(1.0, real, ahead_s=0.5)
    clock.sleep_until(0.25)
    clock.sleep_until(0.5)  # half a second ahead
    real.woken_s = 0.125
    clock.sleep_until(0.75)
    assert (clock.now(), real.now()) == (0.5, 0.125)  # it has not moved, and now that is the time
    for tick in range(3, 9):
        clock.sleep_until(tick * 0.25)
        assert clock.now() - real.now() == 0.375
    assert real.now() >= 0.125 + PacedClock.ALERT_S
    before = len(real.sleeps)
    clock.sleep_until(2.25)
    clock.sleep_until(2.5)  # ahead again
    assert len(real.sleeps) == before


def test_paced_clock_is_hardly_hurried_by_who_wakes_it_again_and_again() -> None:
    real = RealTime()
    clock = PacedClock(1.0, real, ahead_s=0.08)
    while real.now() < 30.0:
        real.woken_s = real.now() + 0.03  # in no sleep but those of a clock that is ahead
        clock.sleep_until(clock.now() + 0.02)
    assert clock.now() - real.now() <= (30.0 / PacedClock.ALERT_S + 1.0) * 0.08


def test_a_sleep_in_real_time_is_ended_by_another_thread() -> None:
    clock = LiveClock()
    waker = threading.Timer(0.01, clock.wake)
    waker.start()
    clock.sleep_until(clock.now() + 3600.0)
    waker.join()
    clock.wake()
    clock.wake()  # it wakes the next sleep, once
    clock.sleep_until(clock.now() + 3600.0)


@pytest.mark.parametrize("speed", [0.0, -1.0, float("nan")])
def test_paced_clock_refuses_a_speed_that_is_no_speed(speed: float) -> None:
    with pytest.raises(LogicError, match="speed"):
        PacedClock(speed)


def test_timers_fire_by_due_time_then_by_order_of_starting() -> None:
    timers = TimerHeap()
    timers.start("late", 3.0)
    timers.start("first_of_two", 1.0)
    timers.start("second_of_two", 1.0)
    assert timers.next_due_s == 1.0
    assert timers.pop_due(0.99) is None
    assert timers.pop_due(9.0) == (1.0, "first_of_two")
    assert timers.pop_due(9.0) == (1.0, "second_of_two")
    assert timers.pop_due(9.0) == (3.0, "late")
    assert timers.pop_due(9.0) is None
    assert timers.next_due_s == float("inf")


def test_a_timer_started_anew_fires_once_at_its_new_time() -> None:
    timers = TimerHeap()
    timers.start("leg", 1.0)
    timers.start("leg", 2.0)
    assert len(timers) == 1
    assert timers.pop_due(1.5) is None
    assert timers.pop_due(2.0) == (2.0, "leg")
    assert timers.pop_due(9.0) is None


def test_a_cancelled_timer_does_not_fire() -> None:
    timers = TimerHeap()
    timers.start("leg", 1.0)
    timers.start("other", 2.0)
    timers.cancel("leg")
    timers.cancel("never started")
    assert not timers.running("leg")
    assert timers.next_due_s == 2.0


_operations = st.lists(
    st.tuples(
        st.sampled_from(["start", "cancel", "pop"]),
        st.integers(0, 4),
        st.integers(0, 20),
    )
)


@given(_operations)
def test_timers_agree_with_a_plain_dictionary(operations: list[tuple[str, int, int]]) -> None:
    """Law: the heap with its lazy deletion equals a dictionary searched for its minimum."""
    timers = TimerHeap()
    plain: dict[Hashable, tuple[float, int]] = {}
    count = 0
    for what, name, value in operations:
        if what == "start":
            count += 1
            timers.start(name, value)
            plain[name] = (value, count)
        elif what == "cancel":
            timers.cancel(name)
            plain.pop(name, None)
        else:
            due = heapq.nsmallest(1, ((d, c, n) for n, (d, c) in plain.items() if d <= value))
            expected = (due[0][0], due[0][2]) if due else None
            assert timers.pop_due(value) == expected
            if expected:
                del plain[expected[1]]
        assert timers.next_due_s == min((d for d, _ in plain.values()), default=float("inf"))
        assert len(timers) == len(plain)
