"""The aircraft's values by name: what feeds give, and what scenarios set, ramp and read."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from math import inf
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict, replace

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_dictionary import DICTIONARY
from panelbridge.logic.kit.aircraft_cells import AircraftCell, cell_of
from panelbridge.logic.kit.declarations import Form, Signal
from panelbridge.signals import AircraftState, GearPosition, LegLocks, Value


class AircraftValue(Struct, frozen=True):
    """A value of the aircraft.

    Attributes:
        name: as in files.
        form: a number or a word.
        words: the words that it can be, of form "word".
        unit: of a number; empty for a fraction or a word.
        low: least number.
        high: greatest number.
        label: words for people.
        cell: its cell in the world of the logic; lock switches share the cell of their leg.
        count: how many values its field holds; 0 when the field is the value.
        part: the attribute of a ``LegLocks`` that it is.
    """

    name: str
    form: Form
    words: tuple[str, ...]
    unit: str
    low: float
    high: float
    label: str
    cell: AircraftCell[Any]
    count: int = 0
    part: str = ""

    def read(self, state: AircraftState) -> Value:
        """Its value in a state; None is unknown."""
        return self.decode(_raw_of(state, self.cell))

    def decode(self, raw: Any) -> Value:
        """Its value, from what stands in ``AircraftState`` or in its cell."""
        if self.part:
            raw = getattr(raw or LegLocks(), self.part)
        if raw is None or self.form == "number":
            return None if raw is None else float(raw)
        return raw.value if isinstance(raw, GearPosition) else self.words[not raw]

    def put(self, into: dict[str, Any], value: Value) -> None:
        """Set the value in the fields of a state; None makes it unknown."""
        raw: Any = value
        if value is not None:
            if self.form == "number":
                raw = float(value)
            else:
                position = self.cell.field == "gear_handle"
                raw = GearPosition(str(value)) if position else value == self.words[0]
        field, place = self.cell.field, self.cell.place
        if place is None:
            into[field] = raw
            return
        before = into[field]
        if value is None and not before:
            return
        empty = LegLocks() if self.part else None
        filled = [*before, *[empty] * (self.count - len(before))]
        if self.part:
            changes: Any = {self.part: raw}
            raw = replace(filled[place], **changes)
        filled[place] = raw
        into[field] = tuple(filled)

    @property
    def signal(self) -> Signal:
        """It as a signal of the vocabulary."""
        cell, decode, is_number = self.cell, self.decode, self.form == "number"
        return Signal(
            *(self.name, self.form, self.label, lambda world: decode(world[cell])),
            *(self.unit, self.words),
            low=self.low if is_number else -inf,
            high=self.high if is_number else inf,
            cell=cell if is_number else None,
            group="aircraft",
        )


def _raw_of(state: AircraftState, cell: AircraftCell[Any]) -> Any:
    """What stands in a state at the place of a cell; None where its field is too short."""
    raw = getattr(state, cell.field)
    if cell.place is None:
        return raw
    return raw[cell.place] if cell.place < len(raw) else None


def cells_of(aircraft: AircraftBase) -> Mapping[str, tuple[AircraftCell[Any], ...]]:
    """The cells of each field of ``AircraftState``, whether a file may give it or not."""
    cells: dict[str, tuple[AircraftCell[Any], ...]] = {}
    for entry in DICTIONARY:
        if entry.of is None:
            cells[entry.field] = (cell_of(entry.field),)
        else:
            places = range(len(entry.of(aircraft)))
            cells[entry.field] = tuple([cell_of(entry.field, place) for place in places])
    return cells


def values_of(
    aircraft: AircraftBase, names: Container[str] | None = None
) -> Mapping[str, AircraftValue]:
    """Values that can be given for ``aircraft``, by name: all, or those of some ``names``."""
    return {value.name: value for value in _values(aircraft, names)}


def _values(aircraft: AircraftBase, only: Container[str] | None) -> Iterator[AircraftValue]:
    for entry in DICTIONARY:
        if not entry.there(aircraft) or not entry.is_read(aircraft):
            continue
        names = entry.fillings(aircraft)
        for place, name in enumerate(names):
            full = entry.name.format(name)
            if only is not None and full not in only:
                continue
            yield AircraftValue(
                full,
                "word" if entry.words else "number",
                entry.words,
                entry.unit,
                entry.low,
                entry.high,
                entry.label.format(str(name).replace("_", " ")),
                cell_of(entry.field, None if entry.of is None else place),
                0 if entry.of is None else len(names),
                entry.part,
            )


def authority_over(aircraft: AircraftBase, name: str) -> str:
    """The key of ``authority:`` that keeps a value from being read; empty when none does."""
    for entry in DICTIONARY:
        if not entry.there(aircraft) or entry.is_read(aircraft):
            continue
        if name in [entry.name.format(one) for one in entry.fillings(aircraft)]:
            return entry.authority
    return ""


def put_values(
    values: Mapping[str, AircraftValue], state: AircraftState, given: Mapping[str, Value]
) -> AircraftState:
    """``state`` with values set; None makes one unknown. An unknown name is a KeyError."""
    if not given:
        return state
    changed = asdict(state)
    for name, value in given.items():
        values[name].put(changed, value)
    return AircraftState(**changed)
