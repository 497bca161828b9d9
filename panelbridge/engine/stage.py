"""Runs an engine, and when its flight is to begin again, another one in its place."""

from __future__ import annotations

from collections.abc import Callable

from panelbridge.engine.assemble import Assembly
from panelbridge.engine.pace import Pace
from panelbridge.signals import Event, Level

FLIGHT_BEGAN_AGAIN = "flight_began_again"


class Stage:
    """A run that can begin again: a new engine, new boards, everything whole; the log goes on.

    Args:
        assembly: to run; what is in it is replaced when the run begins again.
        on_begin: called in the engine's thread with the assembly, before each run.
    """

    def __init__(self, assembly: Assembly, on_begin: Callable[[Assembly], None]) -> None:
        self.assembly = assembly
        self._on_begin = on_begin
        self._goal: int | None = None
        self._is_stopped = False
        self._prepare()

    def run(self) -> None:
        """Run until ``stop``: the engine's thread."""
        while True:
            self.assembly.engine.run()
            goal, self._goal = self._goal, None
            if goal is None or self._is_stopped:
                return
            self._begin_again(goal)

    def stop(self) -> None:
        """Ask the run to end; may be called from any thread."""
        self._is_stopped = True
        self.assembly.engine.stop()

    def _prepare(self) -> None:
        pace = self._pace()
        if pace is not None and self.assembly.again is not None:
            pace.begin_again = self._ask
        self._on_begin(self.assembly)

    def _ask(self, goal: int) -> None:
        self._goal = goal
        self.assembly.engine.stop()

    def _pace(self) -> Pace | None:
        return None if self.assembly.show is None else self.assembly.show.pace

    def _begin_again(self, goal: int) -> None:
        assembly, engine, before = self.assembly, self.assembly.engine, self._pace()
        assert assembly.again is not None  # its pace asked for it
        assembly.close()
        assembly.take(assembly.again())
        assembly.engine.go_on_from(engine)
        self._prepare()
        text = "the flight begins again, with everything whole"
        assembly.engine.note(Event(0.0, FLIGHT_BEGAN_AGAIN, Level.INFO, text))
        pace = self._pace()
        if pace is not None and before is not None:
            pace.follow(before, goal)
        if self._is_stopped:
            assembly.engine.stop()
