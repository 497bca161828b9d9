"""Clocks and timers: the only module that reads the time.

Clocks are passed as arguments. ``LiveClock`` is real time. ``VirtualClock`` advances only in its
calls. ``PacedClock`` is a virtual clock slowed down so that a person can follow. The timers of a
``TimerHeap`` fire in the order of (due time, order of starting), each with its own due time as
*now*, so the result does not depend on how often the heap is polled.
"""

from __future__ import annotations

import heapq
import time
from collections.abc import Hashable
from contextlib import suppress
from threading import Lock
from typing import Protocol

from panelbridge.errors import LogicError

# perf_counter and not monotonic: the latter ticks at 15.6 ms on Windows before Python 3.13.
_tick = time.perf_counter


def wall_clock_s() -> float:
    """Seconds since 1970, for stamps that must grow over every start; nothing is timed by it."""
    return time.time()


def wall_clock_text() -> str:
    """Local date and time for people, as in ``2026-11-30 14:05``; nothing is timed by it."""
    return time.strftime("%Y-%m-%d %H:%M")


class Clock(Protocol):
    """The interface of all clocks."""

    def now(self) -> float:
        """Seconds since the clock's own zero; never runs backwards."""
        ...

    def sleep_until(self, due_s: float) -> None:
        """Return at ``due_s`` or later, unless woken; at once if that has passed."""
        ...

    def wake(self) -> None:
        """End the present sleep, or the next one; from any thread and any signal handler."""
        ...


class LiveClock:
    """Real time, zero when the clock is made."""

    def __init__(self) -> None:
        self._zero = _tick()
        self._asleep = Lock()  # held but for the moment in which a sleep is ended
        self._asleep.acquire()

    def now(self) -> float:
        """Seconds since this clock was made."""
        return _tick() - self._zero

    def sleep_until(self, due_s: float) -> None:
        """Block this thread until ``due_s``."""
        wait_s = due_s - self.now()
        if wait_s > 0:
            self._asleep.acquire(timeout=wait_s)

    def wake(self) -> None:
        """End the sleep."""
        with suppress(RuntimeError):  # it is ended already
            self._asleep.release()


class VirtualClock:
    """Time that advances only in calls: nothing waits, and results repeat exactly."""

    def __init__(self, start_s: float = 0.0) -> None:
        self._now_s = start_s

    def now(self) -> float:
        """The virtual time, seconds."""
        return self._now_s

    def sleep_until(self, due_s: float) -> None:
        """Advance to ``due_s``; a due time that has passed changes nothing."""
        self._now_s = max(self._now_s, due_s)

    def wake(self) -> None:
        """Nothing sleeps."""

    def advance(self, step_s: float) -> None:
        """Advance by ``step_s`` seconds.

        Raises:
            LogicError: ``step_s`` is below zero.
        """
        if step_s < 0:
            raise LogicError(f"time cannot run backwards (by {step_s} s)")
        self._now_s += step_s


class PacedClock(VirtualClock):
    """Virtual time that passes ``speed`` times as fast as real time.

    It still advances only in ``sleep_until``, so a slow machine makes the run slower, never wrong.

    Args:
        speed: virtual seconds per real second, > 0; infinity = as fast as the machine can.
        real: the real time.
        ahead_s: how far ahead of real time it goes without a sleep, s of real time. Not for a while
            after it was woken, when a person waits for what comes next.
    """

    ALERT_S = 1.5
    """For this time after it was woken it is never ahead, s of real time."""

    def __init__(
        self, speed: float = 1.0, real: Clock | None = None, *, ahead_s: float = 0.0
    ) -> None:
        super().__init__()
        self._real = real if real is not None else LiveClock()
        self._ahead_s = ahead_s
        self._alert_until_s = float("-inf")
        self.speed = speed

    @property
    def speed(self) -> float:
        """Virtual seconds per real second; may be changed between two sleeps."""
        return self._speed

    @speed.setter
    def speed(self, speed: float) -> None:
        if not speed > 0:
            raise LogicError(f"a clock's speed must be above zero, not {speed}")
        self._speed = speed
        self._behind = self._real.now()

    def sleep_until(self, due_s: float) -> None:
        """Advance to ``due_s`` once the matching real time has passed; not when woken before."""
        step_s = due_s - self._now_s
        if step_s <= 0:
            return
        # Paced from where the last step should have ended, so that small delays even out. After a
        # stall of more than 0.25 s the clock does not rush to catch up.
        real_s = self._real.now()
        end_s = max(self._behind + step_s / self._speed, real_s - 0.25)
        if end_s > real_s + (0.0 if real_s < self._alert_until_s else self._ahead_s):
            self._real.sleep_until(end_s)
            real_s = self._real.now()
            if real_s < end_s:  # woken: now is real time, so that nobody waits for that
                self._behind = min(self._behind, real_s)
                self._alert_until_s = real_s + self.ALERT_S
                return
        self._behind, self._now_s = end_s, due_s

    def wake(self) -> None:
        """End the sleep."""
        self._real.wake()

    def another(self) -> PacedClock:
        """Another one at its zero, of the same speed and real time."""
        return PacedClock(self._speed, self._real, ahead_s=self._ahead_s)

    def stand(self, for_s: float) -> None:
        """Let ``for_s`` seconds of real time pass, and none of this clock."""
        self._real.sleep_until(self._real.now() + for_s)
        self._behind = self._real.now()


class TimerHeap:
    """Named timers on one heap, keyed by (due time, order of starting).

    The heap holds no callbacks: its owner takes the due names in order and acts on them.
    """

    def __init__(self) -> None:
        self._heap: list[tuple[float, int, Hashable]] = []
        self._live: dict[Hashable, int] = {}
        self._count = 0
        self.next_due_s: float = float("inf")

    def start(self, name: Hashable, due_s: float) -> None:
        """Start the timer ``name``, or restart it."""
        self._count += 1
        self._live[name] = self._count
        heapq.heappush(self._heap, (due_s, self._count, name))
        self._settle()

    def cancel(self, name: Hashable) -> None:
        """Stop the timer ``name``; does nothing if it is not running."""
        if self._live.pop(name, None) is not None:
            self._settle()

    def running(self, name: Hashable) -> bool:
        """Whether the timer ``name`` is running."""
        return name in self._live

    def pop_due(self, now_s: float) -> tuple[float, Hashable] | None:
        """Take the earliest timer due at ``now_s``: (due time, name); None if none is due."""
        if self.next_due_s > now_s:
            return None
        due_s, _, name = heapq.heappop(self._heap)
        del self._live[name]
        self._settle()
        return due_s, name

    def __len__(self) -> int:
        return len(self._live)

    def _settle(self) -> None:
        heap = self._heap
        while heap and self._live.get(heap[0][2]) != heap[0][1]:
            heapq.heappop(heap)
        self.next_due_s = heap[0][0] if heap else float("inf")
