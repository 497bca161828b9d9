"""All systems together: one step from switches and aircraft to lamps, horn and commands.

Order of a step, always the same: what has come due, each at its own time, also when that is now;
then switches and aircraft values; then one look at all of them together. Outputs come last, once.
So it does not matter how often one steps. While nothing changes a step returns the very result of
the one before.
"""

from __future__ import annotations

from math import inf
from typing import Any

from msgspec.structs import replace

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.bench_parts import BenchParts
from panelbridge.logic.inputs import PanelInputs
from panelbridge.logic.kit.declarations import CommandSignal
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.step import Saved
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.outputs import PanelOutputs
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.panel_views import PanelViews
from panelbridge.logic.simulation.clock import LogicTime
from panelbridge.logic.simulation.facts import SKIPPED_S, SimulationFacts
from panelbridge.logic.systems import fresh_systems
from panelbridge.logic.vocabulary import lamps_of
from panelbridge.signals import AircraftState, Commands, Event, StepResult, SwitchState


class PanelLogic(PanelViews):
    """The logic of one panel. No I/O, no clock: the same inputs give the same results.

    The legs of the model start locked down, unless the first aircraft state that says anything of
    the gear has the simulator's handle up and no strut compressed: then they start locked up.

    Args:
        aircraft: the aircraft's numbers.
        panel: the numbers of the panel.
        longest_step_s: a longer step is a gap in which nobody looked: so much of it passes, s.

    Raises:
        LogicError: parts of the aircraft do not fit one another.
    """

    def __init__(
        self,
        aircraft: AircraftBase,
        panel: PanelNumbers | None = None,
        *,
        longest_step_s: float = inf,
    ) -> None:
        self._aircraft = aircraft
        self._systems = systems = fresh_systems(aircraft, panel)
        self._inputs = PanelInputs(systems, aircraft)
        self._take, self._step = self._inputs.take, self._inputs.step
        self._parts = BenchParts(systems)
        self._lamps = tuple(lamps_of(systems))
        self._outputs = PanelOutputs(systems, self._lamps)
        self._commands: tuple[CommandSignal, ...] = tuple(
            [command for system in systems for command in system.commands]
        )
        self._time = LogicTime(self._inputs.unknown_of, longest_step_s)
        self._plain_step_s = longest_step_s  # the time of a longer step has to be asked for
        self._now_s = -inf
        self._started = False
        self._changes = -1
        self._pending: list[Event] = []
        self._result = StepResult()
        self._due_s = inf

    @property
    def next_due_s(self) -> float:
        """When the logic wants a step though nothing changes, s; inf = not at all."""
        return self._time.clock.when(self._due_s) if self._time.is_bent else self._due_s

    @property
    def rate(self) -> float:
        """Seconds of the logic in a second of the run; 0 while the simulation is paused."""
        return self._time.clock.rate

    @property
    def changes(self) -> int:
        """How often a system has changed; between, curves move and what follows a cell."""
        return self._step.changes

    def step(self, now_s: float, switches: SwitchState, aircraft: AircraftState) -> StepResult:
        """One step. While the simulation is paused nothing changes.

        Args:
            now_s: seconds; never less than in the last step.
            switches: the switches now.
            aircraft: the aircraft now.

        Raises:
            LogicError: time runs backwards.
        """
        if now_s - self._now_s > self._plain_step_s:
            if self._time.stands_still(switches, aircraft):
                return self._without_events()
            now_s = self._reach(now_s, switches, aircraft)
        if now_s >= self._due_s:
            self._run_due(now_s)
        elif now_s < self._now_s:
            raise LogicError(f"the time of the logic cannot run backwards: {now_s} < {self._now_s}")
        self._now_s = now_s
        if self._take(switches, aircraft) or now_s >= self._due_s or not self._started:
            self._look(now_s)
        elif self._result.events:
            return self._without_events()
        return self._result

    def _without_events(self) -> StepResult:
        if self._result.events:
            self._result = StepResult(self._result.outputs, self._result.commands)
        return self._result

    def _reach(self, run_s: float, switches: SwitchState, aircraft: AircraftState) -> float:
        """The time of the logic; what was skipped, and lost during a pause, is seen first."""
        step, time = self._step, self._time
        skipped_s = time.skipped_s
        now_s = time.reach(run_s, self._now_s, self._due_s)
        self._plain_step_s = time.plain_step_s
        woken = time.skipped_s > skipped_s and step.set(SKIPPED_S, time.skipped_s)
        if unknown := time.was_unknown():
            woken = self._take(switches.having(**unknown), aircraft) or woken
        if woken:
            self._pending += step.look(self._now_s)
            self._due_s = self._now_s
        return now_s

    def set_fault(self, now_s: float, target: str, kind: str | None) -> None:
        """Break a part on the bench, or mend it; the next step gives what came of it.

        Args:
            now_s: seconds; never less than in the last step.
            target: a part of ``inventory.faults_of``.
            kind: how it is broken; None mends it.

        Raises:
            LogicError: no such part, it cannot break so, or time runs backwards.
        """
        self._put(now_s, self._parts.fault(target, kind), kind)

    def place(self, now_s: float, name: str, travel: float) -> None:
        """Put a part somewhere on the bench, once; the next step gives what came of it.

        Args:
            now_s: seconds; never less than in the last step.
            name: of the part: a leg of the model.
            travel: 0 to 1; in a lock at both ends.

        Raises:
            LogicError: no such part, or time runs backwards.
        """
        self._put(now_s, self._parts.placing(name), travel)

    def _put(self, now_s: float, handle: Handle[Any], value: Any) -> None:
        if self._time.is_bent:
            now_s = self._time.reach(now_s, self._now_s, self._due_s)
        if now_s < self._now_s:
            raise LogicError(f"the time of the logic cannot run backwards: {now_s} < {self._now_s}")
        if now_s >= self._due_s:
            self._run_due(now_s)
        self._now_s = now_s
        self._step.set(handle, value)
        if self._started and self.rate:  # while paused it is looked at when time goes on
            self._pending += self._step.look(now_s)
        self._due_s = now_s

    # -- state as plain data ----------------------------------------------------------------------

    def save(self) -> Saved:
        """All state as plain data: comparable and picklable."""
        return (
            self._now_s,
            self._started,
            self._step.save(),
            self._outputs.flash_began_s,
            tuple(self._pending),
            self._result,
            self._due_s,
            self._time.save(),
        )

    def restore(self, saved: Saved) -> None:
        """Put back what ``save`` of a logic of the same aircraft and panel gave."""
        self._now_s, self._started, step, flash, pending, self._result, due_s, time = saved
        self._due_s = due_s
        self._time.restore(time)
        self._plain_step_s = self._time.plain_step_s
        self._inputs.forget()
        self._step.restore(step)
        self._pending = list(pending)
        self._changes = -1
        self._outputs.flash_began_s = flash

    # -- the look and the result ------------------------------------------------------------------

    def _run_due(self, now_s: float) -> None:
        """Let everything happen that was due by ``now_s``, each at its own time."""
        step = self._step
        while (due_s := step.next_due_s) <= now_s:
            self._pending += step.look(due_s)
            self._outputs_changed(due_s)

    def _look(self, now_s: float) -> None:
        self._started = True
        step, before, shown = self._step, self._result, self._outputs
        events = self._in_run_time(now_s, (*self._pending, *step.look(now_s)))
        self._pending = []
        outputs, commands = before.outputs, before.commands
        if step.changes != self._changes or now_s >= shown.due_s:
            world = step.world(now_s)
            self._outputs_changed(now_s)
            outputs = shown.show(world, outputs)
            if step.changes != self._changes:
                commands = self._ask(world, commands)
            self._changes = step.changes
        self._due_s = min(step.next_due_s, shown.due_s)
        if (
            outputs is not before.outputs
            or commands is not before.commands
            or events
            or before.events
        ):
            self._result = StepResult(outputs, commands, events)

    def _in_run_time(self, now_s: float, events: tuple[Event, ...]) -> tuple[Event, ...]:
        """Follow the rate of the simulation; the events in the time of the run."""
        time, before = self._time, self._time.clock
        if self._step.changes != self._changes:
            time.follow(now_s, self._step.world(now_s)[SimulationFacts].rate)
            self._plain_step_s = time.plain_step_s
        if not time.is_bent:
            return events
        clock = before if before.rate else time.clock
        return tuple([replace(event, time_s=clock.run_time_of(event.time_s)) for event in events])

    def _outputs_changed(self, now_s: float) -> None:
        if self._step.changes != self._changes:
            self._outputs.take(now_s)

    def _ask(self, world: World, before: Commands) -> Commands:
        commands = Commands(**{one.name: one.read(world) for one in self._commands})
        return before if commands == before else commands
