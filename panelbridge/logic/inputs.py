"""What comes from outside into the cells: switches and aircraft values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from itertools import chain, compress, zip_longest
from operator import attrgetter, ne
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import cells_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.vocabulary import switches_of
from panelbridge.signals import AircraftState, SwitchState

_NUMBERS = tuple(one.name for one in fields(AircraftState) if one.type == "float | None")
"""Fields that change in nearly every step of a flight."""
_OTHERS = tuple(one.name for one in fields(AircraftState) if one.name not in _NUMBERS)
"""Words, and what has a value for each engine, leg, wheel or side."""
_numbers_of = attrgetter(*_NUMBERS)
_others_of = attrgetter(*_OTHERS)


class PanelInputs:
    """The switches and the aircraft of the last step, and the step whose cells they fill.

    Args:
        systems: in their order.
        aircraft: the aircraft's numbers.
    """

    def __init__(self, systems: Sequence[System[Any]], aircraft: AircraftBase) -> None:
        cells = cells_of(aircraft)
        self._number_cells = tuple([cells[field][0] for field in _NUMBERS])
        self._other_cells = tuple([cells[field] for field in _OTHERS])
        self.step = SystemStep(systems, [*self._number_cells, *chain(*self._other_cells)])
        self._handles = switches_of(systems)
        self.restore(SwitchState(), AircraftState())

    def restore(self, switches: SwitchState, aircraft: AircraftState) -> None:
        """Put back what the cells of a restored step were filled from."""
        self.switches, self.aircraft = switches, aircraft
        self._numbers: tuple[Any, ...] = _numbers_of(aircraft)
        self._others: tuple[Any, ...] = _others_of(aircraft)

    def take(self, switches: SwitchState, aircraft: AircraftState) -> bool:
        """Fill the cells; True when a system has to look."""
        woken = False
        if switches is not self.switches:
            woken = self._take_switches(switches)
        if aircraft is not self.aircraft:
            woken = self._take_aircraft(aircraft) or woken
        return woken

    def _take_switches(self, switches: SwitchState) -> bool:
        self.switches, woken, put = switches, False, self.step.set
        for name, handle in self._handles.items():
            woken = put(handle, switches.get(name)) or woken
        return woken

    def _take_aircraft(self, aircraft: AircraftState) -> bool:
        self.aircraft, woken, put = aircraft, False, self.step.set
        before, self._numbers = self._numbers, _numbers_of(aircraft)
        for cell in compress(self._number_cells, map(ne, self._numbers, before)):
            woken = put(cell, getattr(aircraft, cell.field)) or woken
        before, others = self._others, _others_of(aircraft)
        if others != before:
            self._others = others
            for cells, new, old in zip(self._other_cells, others, before, strict=True):
                if new != old:
                    values = new[: len(cells)] if isinstance(new, tuple) else (new,)
                    for cell, value in zip_longest(cells, values):  # too short: unknown
                        woken = put(cell, value) or woken
        return woken
