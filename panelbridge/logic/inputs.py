"""What comes from outside into the cells: switches and aircraft values."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import chain
from types import SimpleNamespace
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import cells_of
from panelbridge.logic.kit.aircraft_cells import AircraftCell
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.simulation.facts import SKIPPED_S
from panelbridge.logic.vocabulary import switches_of
from panelbridge.signals import AircraftState, SwitchState

Fill = Callable[[Any, Any, SystemStep], bool]
_FIELDS = AircraftState.__struct_fields__
_NONE_BEFORE: Any = SimpleNamespace(**{field: object() for field in _FIELDS})
"""In place of the state before: every field of a state differs from it."""

_IF_CHANGED = """
    if now.{field} is not before.{field} and now.{field} != before.{field}:
        value = now.{field}"""
_PUT = """
        handle = {handle}
        band = quiet.get(handle)
        if band is not None and {value} is not None and band[0] < {value} <= band[1]:
            known[handle] = {value}
        elif {value} is not known[handle]:
            woken = step.set(handle, {value}) or woken"""
_UNPACK = """
        if len(value) != {count}:
            value = (*value, *[None] * {count})[:{count}]
        {names}, = value"""


@cache
def _fill_of(fields: tuple[tuple[AircraftCell[Any], ...], ...]) -> Fill:
    """A function that fills the cells of every field in which two states differ.

    Compiled, as dataclasses compile their methods: this is asked in every step of a flight, and
    what stands in the code is read several times as fast as by name. What no value is left for
    becomes unknown.

    Args:
        fields: the cells of each field.
    """
    code = "def fill(now, before, step):\n    woken = False\n"
    code += "    quiet, known = step.quiet, step.cells"
    handles: dict[str, Any] = {}
    for cells in fields:
        field, of_several = cells[0].field, cells[0].place is not None
        names = [f"{field}_{place}" for place in range(len(cells))] if of_several else ["value"]
        code += _IF_CHANGED.format(field=field)
        if of_several:
            code += _UNPACK.format(count=len(cells), names=", ".join(names))
        for name, cell in zip(names, cells, strict=True):
            handles[f"handle_{len(handles)}"] = cell
            code += _PUT.format(handle=f"handle_{len(handles) - 1}", value=name)
    exec(f"{code}\n    return woken", handles)
    fill: Fill = handles["fill"]
    return fill


class PanelInputs:
    """The switches and the aircraft of the last step, and the step whose cells they fill.

    Args:
        systems: in their order.
        aircraft: the aircraft's numbers.
    """

    def __init__(self, systems: Sequence[System[Any]], aircraft: AircraftBase) -> None:
        cells = [cells for cells in cells_of(aircraft).values() if cells]
        self._fill = _fill_of(tuple(cells))
        self.step = SystemStep(systems, [*chain(*cells), SKIPPED_S])
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
            woken = self._fill(aircraft, before, step) or woken
        return woken
