"""The aircraft's values by name: what feeds give, and what scenarios set, ramp and read.

They belong to the world outside, so they stand in one written dictionary, a line each. Values of
engines, legs, wheels and sides have one name each: ``throttle_1``, ``strut_nose``, ``left_pedal``.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import inf
from operator import attrgetter
from typing import Any, NamedTuple

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.kit.aircraft_cells import AircraftCell, cell_of
from panelbridge.logic.kit.declarations import Form, Signal
from panelbridge.signals import AircraftState, GearPosition, LegLocks, Value

SIDES = ("left", "right")
_FIELDS = tuple(field.name for field in fields(AircraftState))
_read_fields = attrgetter(*_FIELDS)


class _Entry(NamedTuple):
    """A line of the dictionary.

    Attributes:
        name: of the value; ``{}`` is the engine's number, or the name of the leg, wheel or side.
        field: of ``AircraftState``.
        label: words for people.
        of: how many there are: the names that fill ``{}``; None for a single value.
        words: what a word can be: for True and for False, or both positions of a handle.
        unit: of a number; empty for a fraction.
        low: least sensible number.
        high: greatest sensible number.
        there: whether an aircraft has it.
        part: the attribute of a ``LegLocks`` that it is.
        authority: the key of ``authority:`` that must say ``feed`` for it to be read; empty when it
            always is.
    """

    name: str
    field: str
    label: str
    of: Callable[[AircraftBase], Sequence[str]] | None = None
    words: tuple[str, ...] = ()
    unit: str = ""
    low: float = 0.0
    high: float = 1.0
    there: Callable[[AircraftBase], bool] = lambda aircraft: True
    part: str = ""
    authority: str = ""

    def fillings(self, aircraft: AircraftBase) -> Sequence[str]:
        """What fills its name and label, for each of them that an aircraft has."""
        return [""] if self.of is None else self.of(aircraft)

    def is_read(self, aircraft: AircraftBase) -> bool:
        """The logic of an aircraft that has it reads it: no model stands in its place."""
        # Without hydraulics there is no model of them: their pressure on the gauge is the feed's.
        is_modelled = self.authority and (self.authority != "hydraulics" or aircraft.hydraulics)
        return not is_modelled or getattr(aircraft.authority, self.authority) == "feed"


def _engines(aircraft: AircraftBase) -> Sequence[str]:
    return [str(number + 1) for number in range(aircraft.engines)]


def _struts(aircraft: AircraftBase) -> Sequence[str]:
    return aircraft.strut_names


def _legs(aircraft: AircraftBase) -> Sequence[str]:
    return aircraft.leg_names


def _sides(aircraft: AircraftBase) -> Sequence[str]:
    return SIDES


def _wheels(aircraft: AircraftBase) -> Sequence[str]:
    return [wheel.name for wheel in aircraft.brakes.wheels] if aircraft.brakes else []


def _steers(aircraft: AircraftBase) -> bool:
    return aircraft.steering.steering_leg is not None


def _brakes(aircraft: AircraftBase) -> bool:
    return aircraft.brakes is not None


def _antiskid(aircraft: AircraftBase) -> bool:
    return _brakes(aircraft) and aircraft.antiskid is not None


_STRUT, _RUNNING, _POWER = ("compressed", "extended"), ("running", "stopped"), ("on", "off")
_WORKING, _LOCK = ("working", "failed"), ("made", "open")
_PSI = "hydraulic_pressure_psi"
_PEDAL = "steering_pedal_fraction"
_DICTIONARY = (
    _Entry("airspeed_kias", "airspeed_kias", "indicated airspeed", unit="kt", high=1000.0),
    _Entry(
        "altitude_ft", "altitude_ft", "pressure altitude", unit="ft", low=-2000.0, high=60_000.0
    ),
    _Entry("ground_speed_kt", "ground_speed_kt", "speed over the ground", unit="kt", high=1000.0),
    _Entry("flap_deg", "flap_deg", "flap angle", unit="degrees", high=90.0),
    _Entry("speed_brake", "speed_brake_fraction", "speed brakes, 0 stowed to 1 fully out"),
    _Entry(
        *("trim", "trim_units", "longitudinal trim, as its indicator shows it"),
        unit="units",
        low=-30.0,
        high=30.0,
    ),
    _Entry("mass_kg", "mass_kg", "mass of the aircraft", unit="kg", high=1_000_000.0),
    _Entry(
        _PSI,
        _PSI,
        "pressure of the main hydraulic system",
        unit="psi",
        high=10_000.0,
        authority="hydraulics",
    ),
    _Entry("throttle_{}", "throttle_fraction", "throttle {}, 0 idle to 1 full", _engines),
    _Entry(
        *("n1_{}", "n1_fraction", "N1 of engine {}, 1 is its rated speed", _engines),
        high=1.5,
        there=lambda aircraft: aircraft.gear_warning.power_by == "n1",
    ),
    _Entry(
        *("torque_{}", "torque_fraction", "torque of engine {}, 1 is its rated torque", _engines),
        high=1.5,
        there=lambda aircraft: aircraft.gear_warning.power_by == "torque",
    ),
    _Entry("strut_{}", "strut_compressed", "squat switch of the {} leg", _struts, _STRUT),
    _Entry("simulator_handle", "gear_handle", "gear handle of the simulator", words=("up", "down")),
    _Entry(
        "engine_{}",
        "engine_running",
        "engine {}, which drives its hydraulic supply",
        _engines,
        _RUNNING,
    ),
    _Entry(
        "bus_power",
        "bus_powered",
        "power of the electrical bus; unknown counts as on",
        words=_POWER,
    ),
    _Entry(
        "bus_voltage_v",
        "bus_voltage_v",
        "voltage of the electrical bus; unknown counts as the nominal one",
        unit="V",
        high=250.0,
        there=lambda aircraft: aircraft.gear_power.nominal_v is not None,
    ),
    _Entry(
        _PEDAL,
        _PEDAL,
        "steering pedals of the simulator, -1 left to 1 right",
        low=-1.0,
        there=_steers,
    ),
    _Entry(
        "{}_pedal",
        "brake_pedal_fraction",
        "{} brake pedal of the simulator, 0 free to 1",
        _sides,
        there=_brakes,
    ),
    _Entry(
        "{}_fed_brake_psi",
        "brake_pressure_psi",
        "pressure in the {} brakes, from the feed",
        _sides,
        unit="psi",
        high=10_000.0,
        there=_brakes,
        authority="brakes",
    ),
    _Entry(
        "{}_wheel_rpm",
        "wheel_speed_rpm",
        "speed of the {} wheel",
        _wheels,
        unit="rpm",
        high=5000.0,
        there=_antiskid,
    ),
    _Entry(
        "{}_fed_antiskid",
        "antiskid_working",
        "anti-skid of the {} wheel, from the feed",
        _wheels,
        _WORKING,
        there=_antiskid,
        authority="antiskid",
    ),
    _Entry(
        "{}_up_lock",
        "leg_locks",
        "up-lock switch of the {} leg",
        _legs,
        _LOCK,
        part="up_locked",
        authority="legs",
    ),
    _Entry(
        "{}_down_lock",
        "leg_locks",
        "down-lock switch of the {} leg",
        _legs,
        _LOCK,
        part="down_locked",
        authority="legs",
    ),
    _Entry(
        "simulation",
        "paused",
        "whether the simulation is paused; unknown counts as running",
        words=("paused", "running"),
    ),
    _Entry(
        "simulation_rate",
        "simulation_rate",
        "seconds of the simulation in a second; unknown counts as 1",
        high=64.0,
    ),
)


@dataclass(frozen=True, slots=True)
class AircraftValue:
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


FIELDS_OF_SEVERAL = frozenset([entry.field for entry in _DICTIONARY if entry.of is not None])
"""The fields of ``AircraftState`` with a value for each engine, leg, wheel or side."""


def cells_of(aircraft: AircraftBase) -> Mapping[str, tuple[AircraftCell[Any], ...]]:
    """The cells of each field of ``AircraftState``, whether a file may give it or not."""
    cells: dict[str, tuple[AircraftCell[Any], ...]] = {}
    for entry in _DICTIONARY:
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
    for entry in _DICTIONARY:
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
    for entry in _DICTIONARY:
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
    changed = dict(zip(_FIELDS, _read_fields(state), strict=True))
    for name, value in given.items():
        values[name].put(changed, value)
    return AircraftState(**changed)
