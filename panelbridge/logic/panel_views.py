"""What shows and explains a panel: its world, its view for screens, reasons of its outputs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.inputs import PanelInputs
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.rule import reasons_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.logic.looked_at import LookedAt
from panelbridge.signals import HornPattern, LogicView, Reason, StepResult

UNPOWERED = Reason(
    "rule: electrical power", False, "the bus has none: every lamp is dark, the horn is silent"
)
"""The one reason that counts without electrical power."""


class PanelViews:
    """What can be asked of a panel between its steps; ``PanelLogic`` steps it."""

    _aircraft: AircraftBase
    _systems: Sequence[System[Any]]
    _lamps: Sequence[str]
    _inputs: PanelInputs
    _step: SystemStep
    _now_s: float
    _result: StepResult

    def world(self) -> World:
        """Everything as of the last step; later steps leave it as it is."""
        return self._step.snapshot(self._now_s).having({ShownFacts: self._shown()})

    def view(self) -> LogicView:
        """The inside as of the last step, for screens."""
        world = self._world()
        shows = {k: v for system in self._systems for k, v in system.shows(world).items()}
        values = {one.name: one.read(world) for system in self._systems for one in system.values}
        return LogicView(
            **shows,
            horn_causes=self._horn_causes(),
            faults=self._failures(),
            faulty=tuple({system.title: None for system in self._systems if system.failures()}),
            values=values,
        )

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

    def _horn_causes(self) -> tuple[str, ...]:
        if self._result.outputs.horn is HornPattern.SILENT:
            return ()
        names = [name for system in self._systems for name in system.sounding()]
        return tuple(dict.fromkeys(names))

    def _shown(self) -> ShownFacts:
        result = self._result
        return ShownFacts(result.outputs, result.commands, self._failures())

    def _failures(self) -> tuple[str, ...]:
        found = [one for system in self._systems for one in system.failures()]
        if kept := self._inputs.kept():
            found.append(f"no signal: the last position counts for {', '.join(kept)}")
        return tuple(found)
