"""All systems together: one step from switches and aircraft to lamps, horn and commands.

Order of a step, always the same: what has come due, each at its own time, also when that is now;
then switches and aircraft values; then one look at all of them together. Outputs come last, once.
So it does not matter how often one steps. While nothing changes a step returns the very result of
the one before.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from math import inf
from typing import Any

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.inputs import PanelInputs
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.declarations import CommandSignal
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.rule import reasons_of
from panelbridge.logic.kit.step import Saved
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.logic.lamps.outputs import PanelOutputs
from panelbridge.logic.looked_at import LookedAt
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.systems import make_systems, misfits_of
from panelbridge.logic.vocabulary import lamps_of
from panelbridge.signals import (
    AircraftState,
    Commands,
    Event,
    LogicView,
    Reason,
    StepResult,
    SwitchState,
)

UNPOWERED = Reason(
    "rule: electrical power", False, "the bus has none: every lamp is dark, the horn is silent"
)
"""The one reason that counts without electrical power."""


class PanelLogic:
    """The logic of one panel. No I/O, no clock: the same inputs give the same results.

    The legs of the model start locked down, unless the first aircraft state that says anything of
    the gear has the simulator's handle up and no strut compressed: then they start locked up.

    Args:
        aircraft: the aircraft's numbers.
        panel: the numbers of the panel.

    Raises:
        LogicError: parts of the aircraft do not fit one another.
    """

    def __init__(self, aircraft: AircraftBase, panel: PanelNumbers | None = None) -> None:
        for misfit in misfits_of(aircraft):
            where = ".".join(str(step) for step in misfit.path)
            raise LogicError(f"{where}: {misfit.what}", hint=misfit.hint)
        self._aircraft = aircraft
        self._systems = systems = make_systems(aircraft, panel)
        self._inputs = PanelInputs(systems, aircraft)
        self._take, self._step = self._inputs.take, self._inputs.step
        self._faults = {fault.name: fault for system in systems for fault in system.faults}
        self._placings = {one.name: one for system in systems for one in system.placings}
        self._lamps = tuple(lamps_of(systems))
        self._outputs = PanelOutputs(systems, self._lamps)
        self._commands: tuple[CommandSignal, ...] = tuple(
            [command for system in systems for command in system.commands]
        )
        self._now_s = -inf
        self._started = False
        self._changes = -1
        self._pending: list[Event] = []
        self._result = StepResult()
        self.next_due_s = inf
        """When the logic wants a step though nothing changes; inf = not at all."""

    @property
    def changes(self) -> int:
        """How often a system has changed; while it stands still so do all signals but curves."""
        return self._step.changes

    def step(self, now_s: float, switches: SwitchState, aircraft: AircraftState) -> StepResult:
        """One step.

        Args:
            now_s: seconds; never less than in the last step.
            switches: the switches now.
            aircraft: the aircraft now.

        Raises:
            LogicError: time runs backwards.
        """
        if now_s >= self.next_due_s:
            self._run_due(now_s)
        elif now_s < self._now_s:
            raise LogicError(f"the time of the logic cannot run backwards: {now_s} < {self._now_s}")
        self._now_s = now_s
        if self._take(switches, aircraft) or now_s >= self.next_due_s or not self._started:
            self._look(now_s)
        elif self._result.events:
            self._result = StepResult(self._result.outputs, self._result.commands)
        return self._result

    def set_fault(self, now_s: float, target: str, kind: str | None) -> None:
        """Break a part on the bench, or mend it; the next step gives what came of it.

        Args:
            now_s: seconds; never less than in the last step.
            target: a part of ``inventory.faults_of``.
            kind: how it is broken; None mends it.

        Raises:
            LogicError: no such part, it cannot break so, or time runs backwards.
        """
        fault = self._faults.get(target)
        if fault is None:
            raise LogicError(f"no fault target is named '{target}'")
        if kind is not None and kind not in fault.kinds:
            raise LogicError(f"'{target}' cannot be '{kind}'", hint=", ".join(fault.kinds))
        self._put(now_s, fault, kind)

    def place(self, now_s: float, name: str, travel: float) -> None:
        """Put a part somewhere on the bench, once; the next step gives what came of it.

        Args:
            now_s: seconds; never less than in the last step.
            name: of the part: a leg of the model.
            travel: 0 to 1; in a lock at both ends.

        Raises:
            LogicError: no such part, or time runs backwards.
        """
        placing = self._placings.get(name)
        if placing is None:
            raise LogicError(f"no part of the model is named '{name}'")
        self._put(now_s, placing, travel)

    def _put(self, now_s: float, handle: Handle[Any], value: Any) -> None:
        if now_s < self._now_s:
            raise LogicError(f"the time of the logic cannot run backwards: {now_s} < {self._now_s}")
        if now_s >= self.next_due_s:
            self._run_due(now_s)
        self._now_s = now_s
        self._step.set(handle, value)
        if self._started:
            self._pending += self._step.look(now_s)
        self.next_due_s = now_s

    # -- what shows and explains it ---------------------------------------------------------------

    def world(self) -> World:
        """Everything as of the last step; later steps leave it as it is."""
        return self._step.snapshot(self._now_s).having({ShownFacts: self._shown()})

    def view(self) -> LogicView:
        """The inside as of the last step, for screens."""
        world = self._world()
        shows = {k: v for system in self._systems for k, v in system.shows(world).items()}
        values = {one.name: one.read(world) for system in self._systems for one in system.values}
        return LogicView(**shows, faults=self._failures(), values=values)

    def reasons(self, name: str) -> tuple[Reason, ...]:
        """Why a signal is as it is after the last step: a lamp, the ``horn``, or a value.

        Of a value: the signals that its system has looked at; nothing for a switch, or a value of
        the aircraft. Of an output first every rule that can put it on (``rule: ...``), then the
        conditions that these looked at, with values and limits. It is on when a rule holds; a
        flashing lamp is dark half of the time all the same.

        Raises:
            LogicError: there is no such signal.
        """
        world = self._world()
        if name != "horn" and name not in self._lamps:
            system = self._looked_at.publisher(name)
            read = self._step.read_by(system) if system is not None else ()
            return self._looked_at.reasons(name, read, world)
        if world[BUS_POWERED] is False:
            return (UNPOWERED,)
        return reasons_of(
            [one for system in self._systems for one in system.decisions(name, world)]
        )

    @cached_property
    def _looked_at(self) -> LookedAt:
        return LookedAt(self._systems, self._aircraft)

    def _world(self) -> World:
        return self._step.world(self._now_s)

    def _shown(self) -> ShownFacts:
        result = self._result
        return ShownFacts(result.outputs, result.commands, self._failures())

    def _failures(self) -> tuple[str, ...]:
        return tuple([one for system in self._systems for one in system.failures()])

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
            self.next_due_s,
        )

    def restore(self, saved: Saved) -> None:
        """Put back what ``save`` of a logic of the same aircraft and panel gave."""
        self._now_s, self._started, step, flash, pending, self._result, self.next_due_s = saved
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
        events = (*self._pending, *step.look(now_s))
        self._pending = []
        outputs, commands = before.outputs, before.commands
        if step.changes != self._changes or now_s >= shown.due_s:
            world = step.world(now_s)
            self._outputs_changed(now_s)
            outputs = shown.show(world, outputs)
            if step.changes != self._changes:
                commands = self._ask(world, commands)
            self._changes = step.changes
        self.next_due_s = min(step.next_due_s, shown.due_s)
        if (
            outputs is not before.outputs
            or commands is not before.commands
            or events
            or before.events
        ):
            self._result = StepResult(outputs, commands, events)

    def _outputs_changed(self, now_s: float) -> None:
        if self._step.changes != self._changes:
            self._outputs.take(now_s)

    def _ask(self, world: World, before: Commands) -> Commands:
        asked: Mapping[str, Any] = {one.name: one.read(world) for one in self._commands}
        commands = Commands(**asked)
        return before if commands == before else commands
