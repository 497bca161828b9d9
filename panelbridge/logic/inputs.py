"""What comes from outside into the cells: switches and aircraft values."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from itertools import chain, zip_longest
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import cells_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.vocabulary import switches_of
from panelbridge.signals import AircraftState, SwitchState

Changed = Callable[[AircraftState, AircraftState], list[str]]


def _compiled(names: Sequence[str]) -> Changed:
    """A function that names the fields in which two states hold other objects.

    Compiled, as dataclasses compile their methods: this is asked in every step of a flight, and
    attributes that stand in the code are read several times as fast as by name.
    """
    checks = [f"    if now.{one} is not before.{one}: names.append('{one}')" for one in names]
    made: dict[str, Changed] = {}
    exec(
        "\n".join(["def changed(now, before):", "    names = []", *checks, "    return names"]),
        made,
    )
    return made["changed"]


_FIELDS = tuple([one.name for one in fields(AircraftState)])
_changed = _compiled(_FIELDS)


class PanelInputs:
    """The switches and the aircraft of the last step, and the step whose cells they fill.

    Args:
        systems: in their order.
        aircraft: the aircraft's numbers.
    """

    def __init__(self, systems: Sequence[System[Any]], aircraft: AircraftBase) -> None:
        self._cells = cells_of(aircraft)
        self.step = SystemStep(systems, [*chain(*self._cells.values())])
        self._handles = switches_of(systems)
        self.forget()

    def forget(self) -> None:
        """The next step compares every input with its cell, not with the inputs before."""
        self._switches: SwitchState | None = None
        self._aircraft: AircraftState | None = None

    def take(self, switches: SwitchState, aircraft: AircraftState) -> bool:
        """Fill the cells; True when a system has to look."""
        woken = False
        if switches is not self._switches:
            woken = self._take_switches(switches)
        if aircraft is not self._aircraft:
            woken = self._take_aircraft(aircraft) or woken
        return woken

    def _take_switches(self, switches: SwitchState) -> bool:
        self._switches, woken, put = switches, False, self.step.set
        for name, handle in self._handles.items():
            woken = put(handle, switches.get(name)) or woken
        return woken

    def _take_aircraft(self, aircraft: AircraftState) -> bool:
        before, self._aircraft = self._aircraft, aircraft
        woken, put = False, self.step.set
        for field in _FIELDS if before is None else _changed(aircraft, before):
            cells, new = self._cells[field], getattr(aircraft, field)
            if not isinstance(new, tuple):
                woken = put(cells[0], new) or woken
            elif before is None or new != getattr(before, field):
                for cell, value in zip_longest(cells, new[: len(cells)]):  # too short: unknown
                    woken = put(cell, value) or woken
        return woken
