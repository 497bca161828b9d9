"""What shows and explains a panel: its world, its view for screens, reasons of its outputs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.inputs import PanelInputs
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.rule import Decision, reasons_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import LampFacts, ShownFacts
from panelbridge.logic.lamps.outputs import PanelOutputs
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
    _outputs: PanelOutputs
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

    # -- what explains it, see ``explaining.py`` --------------------------------------------------

    @property
    def systems(self) -> Sequence[System[Any]]:
        """All systems, in their order."""
        return self._systems

    @property
    def is_powered(self) -> bool:
        """The electrical bus has power, or is not known to have none."""
        return self._world()[BUS_POWERED] is not False

    def decisions(self, output: str) -> list[tuple[int, Decision]]:
        """What decides a lamp or the ``horn``, each with the place of its system."""
        world = self._world()
        return [
            (place, one)
            for place, system in enumerate(self._systems)
            for one in system.decisions(output, world)
        ]

    def lit(self) -> Mapping[str, bool]:
        """Which lamps are lit, tests and power included; one that flashes counts as lit."""
        return self._outputs.lit_steady(self._world()[LampFacts])

    def horn(self) -> HornPattern:
        """How the horn sounds."""
        return self._result.outputs.horn

    def horn_causes(self) -> tuple[str, ...]:
        """The rules that sound the horn."""
        return self._horn_causes()

    def failures(self) -> tuple[str, ...]:
        """The present faults, a sentence each."""
        return self._failures()

    def kept(self) -> tuple[str, ...]:
        """The switches whose last position counts, for their board is lost."""
        return tuple(self._inputs.kept())

    def behind_failure(self, sentence: str) -> tuple[Reason, ...]:
        """What the system looks at that reports a fault; nothing when none does."""
        for system in self._systems:
            if sentence in system.failures():
                return self._looked_at.reasons("", self._step.read_by(system), self._world())
        return tuple([Reason(name, False, "it is unknown") for name in self.kept()])

    def word_of(self, name: str) -> str:
        """A signal in words, with its unit. Raises: LogicError, when there is none."""
        self._looked_at.publisher(name)
        return self._looked_at.word(name, self._world())

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
        if kept := self.kept():
            found.append(f"no signal: the last position counts for {', '.join(kept)}")
        return tuple(found)
