"""How a run's time passes: paused, stepped, faster, or flown to a phase of the flight.

Only where all is simulated in this process: real boards and real data do not stand still. The
clock is the run's, so everything stands with it: boards and cable, flight, legs, timers. All of
this is called in the engine's thread. The engine asks ``holds`` at the start of each turn, and its
turns are at the same times whatever the rate and however often it was paused: so the logic cannot
tell the difference.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf

from panelbridge.clock import PacedClock
from panelbridge.feeds.feed import PhasedFlight
from panelbridge.signals import Event, Level

RATES = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
"""The rates that ``faster`` and ``slower`` go through."""
STAND_S = 0.05
"""Period of looking for requests while time stands still, s of real time."""
LONGEST_JUMP_S = 900.0
"""A phase that the flight does not reach in this time of the run, s, is given up."""
JUMP_GIVEN_UP = "jump_given_up"


class Pace:
    """How the time of one engine passes.

    Args:
        clock: the run's.
        flight: the flight whose phases can be jumped to; None = there is none.

    Attributes:
        rate: seconds of the run in a real second.
        note: publishes an event; the engine's.
        begin_again: ends this run for another one, which flies to the phase with the given index;
            None = it cannot.
    """

    def __init__(self, clock: PacedClock, flight: PhasedFlight | None = None) -> None:
        self._clock = clock
        self._flight = flight
        self.note: Callable[[Event], None] = lambda event: None
        self.begin_again: Callable[[int], None] | None = None
        self.rate = clock.speed
        self._is_paused = False
        self._step_end_s: float | None = None
        self._goal: int | None = None
        self._give_up_s = inf
        self._is_there = False

    @property
    def phases(self) -> Sequence[str]:
        """The phases of the flight, in order; none without a flight that has them."""
        return () if self._flight is None else self._flight.phases

    @property
    def is_paused(self) -> bool:
        """Time stands still, but for a step."""
        return self._is_paused and self._goal is None

    @property
    def jumping_to(self) -> str:
        """The phase that it flies to, as fast as the machine can; empty = none."""
        return "" if self._goal is None else self.phases[self._goal]

    def phase_index(self, now_s: float) -> int:
        """Which phase it is in; -1 = there are none."""
        return -1 if self._flight is None else self._flight.phase_index(now_s)

    # Orders

    def pause_or_go(self, now_s: float) -> None:
        """Stop the time, or let it go on; a step or a jump ends here, paused."""
        is_busy = self._step_end_s is not None or self._goal is not None
        self._is_paused = is_busy or not self._is_paused
        self._step_end_s = self._goal = None
        self._set_speed()

    def step(self, now_s: float, span_s: float) -> None:
        """Let ``span_s`` pass at once, to the end of the turn in which it ends; then paused."""
        self._is_paused, self._goal = True, None
        begin_s = now_s if self._step_end_s is None else self._step_end_s
        self._step_end_s = begin_s + span_s
        self._set_speed()

    def faster(self, now_s: float) -> None:
        """The next higher rate."""
        self.rate = next((rate for rate in RATES if rate > self.rate), self.rate)
        self._set_speed()

    def slower(self, now_s: float) -> None:
        """The next lower rate."""
        self.rate = next((rate for rate in reversed(RATES) if rate < self.rate), self.rate)
        self._set_speed()

    def jump(self, now_s: float, index: int) -> None:
        """Fly to the start of a phase; one that has begun already needs a flight from the start."""
        if not 0 <= index < len(self.phases):
            return
        if index > self.phase_index(now_s):
            self._fly_to(now_s, index)
        elif self.begin_again is not None:
            self.begin_again(index)

    def follow(self, before: Pace, index: int) -> None:
        """Take over rate and pause of the run before, at the start of this one; fly to a phase."""
        self.rate, self._is_paused = before.rate, before._is_paused
        self._fly_to(self._clock.now(), index)

    def _fly_to(self, now_s: float, index: int) -> None:
        self._goal, self._step_end_s, self._is_there = index, None, False
        self._give_up_s = now_s + LONGEST_JUMP_S
        self._set_speed()

    def _set_speed(self) -> None:
        hurries = self._step_end_s is not None or self._goal is not None
        speed = inf if hurries else self.rate
        if speed != self._clock.speed:
            self._clock.speed = speed

    # For the engine

    def holds(self, now_s: float) -> bool:
        """Whether time stands still: the engine then takes requests and nothing else."""
        if self._goal is not None:
            self._look_for_goal(now_s, self._goal)
        if self._step_end_s is not None and now_s >= self._step_end_s:
            self._step_end_s = None
            self._set_speed()
        return self.is_paused and self._step_end_s is None

    def _look_for_goal(self, now_s: float, goal: int) -> None:
        """End a jump: one turn after the phase has begun, so that it is seen in a pause."""
        if not self._is_there and now_s < self._give_up_s:
            self._is_there = self.phase_index(now_s) >= goal
            return
        if not self._is_there:
            text = (
                f"the flight has not come to '{self.phases[goal]}' "
                f"in {LONGEST_JUMP_S / 60.0:.0f} min: it goes on from here"
            )
            self.note(Event(now_s, JUMP_GIVEN_UP, Level.CAUTION, text))
        self._goal = None
        self._set_speed()

    def stand(self) -> None:
        """Wait a little while time stands still."""
        self._clock.stand(STAND_S)
