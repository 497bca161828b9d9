"""What comes from outside into the cells: switches and aircraft values."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from itertools import chain
from types import SimpleNamespace
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import FIELDS_OF_SEVERAL, cells_of
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.simulation.facts import SKIPPED_S
from panelbridge.logic.vocabulary import switches_of
from panelbridge.signals import AircraftState, SwitchState

Cells = Mapping[str, Sequence[Handle[Any]]]
Fill = Callable[[Any, Any, Cells, SystemStep], bool]
_FIELDS = tuple([one.name for one in fields(AircraftState)])
_NONE_BEFORE: Any = SimpleNamespace(**{field: object() for field in _FIELDS})
"""In place of the state before: every field of a state differs from it."""

_PUT_ONE = """
    if now.{0} is not before.{0}:
        value, handle = now.{0}, cells['{0}'][0]
        band = quiet.get(handle)
        if band is not None and value is not None and band[0] < value <= band[1]:
            known[handle] = value
        elif value != before.{0}:
            woken = step.set(handle, value) or woken"""
_PUT_SEVERAL = """
    if now.{0} is not before.{0} != now.{0}:
        woken = step.set_each(cells['{0}'], now.{0}) or woken"""


def _compiled() -> Fill:
    """A function that fills the cells of every field in which two states differ.

    Compiled, as dataclasses compile their methods: this is asked in every step of a flight, and
    attributes that stand in the code are read several times as fast as by name.
    """
    code = "def fill(now, before, cells, step):\n    woken = False\n"
    code += "    quiet, known = step.quiet, step.cells"
    for name in _FIELDS:
        code += (_PUT_SEVERAL if name in FIELDS_OF_SEVERAL else _PUT_ONE).format(name)
    made: dict[str, Fill] = {}
    exec(f"{code}\n    return woken", made)
    return made["fill"]


_fill = _compiled()


class PanelInputs:
    """The switches and the aircraft of the last step, and the step whose cells they fill.

    Args:
        systems: in their order.
        aircraft: the aircraft's numbers.
    """

    def __init__(self, systems: Sequence[System[Any]], aircraft: AircraftBase) -> None:
        self._cells = cells_of(aircraft)
        self.step = SystemStep(systems, [*chain(*self._cells.values()), SKIPPED_S])
        self._handles = switches_of(systems)
        self._staying = [switch for switch in self._handles.values() if switch.stays]
        self.forget()

    def forget(self) -> None:
        """The next step compares every input with its cell, not with the inputs before."""
        self._switches: SwitchState | None = None
        self._aircraft = _NONE_BEFORE
        self._kept: tuple[str, ...] | None = None

    def unknown_of(self, switches: SwitchState) -> Iterator[str]:
        """Names of the switches that are unknown."""
        return (name for name in self._handles if switches.get(name) is None)

    def kept(self) -> tuple[str, ...]:
        """Labels of the switches that keep their effect though they are unknown."""
        if self._kept is None:  # a switch has moved: none does by itself
            world = self.step.world(0.0)
            unknown = [one for one in self._staying if world[one.reported] is None]
            self._kept = tuple([one.label for one in unknown if world[one] is not None])
        return self._kept

    def take(self, switches: SwitchState, aircraft: AircraftState) -> bool:
        """Fill the cells; True when a system has to look."""
        woken, step = False, self.step
        if switches is not self._switches:
            self._switches, self._kept = switches, None
            for name, handle in self._handles.items():
                woken = step.set_switch(handle, switches.get(name)) or woken
        before = self._aircraft
        if aircraft is not before:
            self._aircraft = aircraft
            woken = _fill(aircraft, before, self._cells, step) or woken
        return woken
