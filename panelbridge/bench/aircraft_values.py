"""The aircraft's values by name: what a scenario can set, ramp and read.

The names are those of ``AircraftState``, with one name for each throttle (``throttle_1``), strut
(``strut_nose``) and lock switch (``nose_up_lock``), and ``simulator_handle`` for the handle of the
simulator, because ``gear_handle`` is that of the panel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import inf
from typing import Any, Literal, TypeVar

from panelbridge.config.feed_file import FixedValues
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import AircraftState, GearPosition, LegLocks, Value

T = TypeVar("T")
Form = Literal["number", "word", "yes_no"]
STRUT_WORDS = ("compressed", "extended")
LOCK_WORDS = ("made", "open")
NUMBERS: Mapping[str, str] = {
    "airspeed_kias": "kt",
    "altitude_ft": "ft",
    "ground_speed_kt": "kt",
    "flap_deg": "degrees",
    "hydraulic_pressure_psi": "psi",
}
"""The plain numbers of an aircraft, with their units."""
_LABELS = {
    "airspeed_kias": "indicated airspeed",
    "altitude_ft": "pressure altitude",
    "ground_speed_kt": "speed over the ground",
    "flap_deg": "flap angle",
    "hydraulic_pressure_psi": "pressure of the main hydraulic system",
}


@dataclass(frozen=True, slots=True)
class ValueSpec:
    """A value of the aircraft.

    Attributes:
        name: as in a scenario.
        form: what it is.
        words: the words that it can be, of form "word".
        unit: of a number; empty for a fraction or a word.
        low: least number.
        high: greatest number.
        label: words for people.
        read: its value in a state; None is unknown.
        put: a state with the value changed; None makes it unknown.
    """

    name: str
    form: Form
    words: tuple[str, ...]
    unit: str
    low: float
    high: float
    label: str
    read: Callable[[AircraftState], Value]
    put: Callable[[AircraftState, Value], AircraftState]


def values_of(aircraft: AircraftParameters) -> Mapping[str, ValueSpec]:
    """Every value that can be set for ``aircraft``, by name."""
    specs = [_number(name) for name in NUMBERS]
    engines = aircraft.engines
    specs += [_throttle(number, engines) for number in range(engines)]
    legs = [leg.name for leg in aircraft.legs]
    specs += [_strut(place, legs) for place in range(len(legs))]
    specs.append(_simulator_handle())
    if aircraft.authority.legs == "feed":
        specs += [_lock(place, legs, end) for place in range(len(legs)) for end in ("up", "down")]
    return {spec.name: spec for spec in specs}


def put_values(
    specs: Mapping[str, ValueSpec], state: AircraftState, values: Mapping[str, Value]
) -> AircraftState:
    """``state`` with ``values`` set; None makes one unknown. An unknown name is a KeyError."""
    for name, value in values.items():
        state = specs[name].put(state, value)
    return state


def _number(name: str) -> ValueSpec:
    low, high = _range_of(name)

    def put(state: AircraftState, value: Value) -> AircraftState:
        changed: Any = {name: value if value is None else float(value)}
        return replace(state, **changed)

    label, unit = _LABELS[name], NUMBERS[name]
    return ValueSpec(name, "number", (), unit, low, high, label, lambda s: getattr(s, name), put)


def _range_of(name: str) -> tuple[float, float]:
    """The sensible range: that of the feed file."""
    low, high = -inf, inf
    for part in getattr(FixedValues.model_fields[name].annotation, "__args__", ()):
        for info in getattr(part, "__metadata__", ()):
            for limit in info.metadata:
                low = getattr(limit, "ge", low)
                high = getattr(limit, "le", high)
    return float(low), float(high)


def _throttle(place: int, count: int) -> ValueSpec:
    def read(state: AircraftState) -> Value:
        return _at(state.throttle_fraction, place)

    def put(state: AircraftState, value: Value) -> AircraftState:
        number = None if value is None else float(value)
        levers = _with(state.throttle_fraction, place, count, number)
        return replace(state, throttle_fraction=levers)

    label = f"throttle {place + 1}, 0 idle to 1 full"
    return ValueSpec(f"throttle_{place + 1}", "number", (), "", 0.0, 1.0, label, read, put)


def _strut(place: int, legs: list[str]) -> ValueSpec:
    def read(state: AircraftState) -> Value:
        compressed = _at(state.strut_compressed, place)
        return None if compressed is None else STRUT_WORDS[not compressed]

    def put(state: AircraftState, value: Value) -> AircraftState:
        compressed = None if value is None else value == STRUT_WORDS[0]
        struts = _with(state.strut_compressed, place, len(legs), compressed)
        return replace(state, strut_compressed=struts)

    name, label = f"strut_{legs[place]}", f"squat switch of the {legs[place]} leg"
    return ValueSpec(name, "word", STRUT_WORDS, "", 0.0, 0.0, label, read, put)


def _lock(place: int, legs: list[str], end: str) -> ValueSpec:
    attribute = f"{end}_locked"

    def read(state: AircraftState) -> Value:
        locks = _at(state.leg_locks, place) or LegLocks()
        made: bool | None = getattr(locks, attribute)
        return None if made is None else LOCK_WORDS[not made]

    def put(state: AircraftState, value: Value) -> AircraftState:
        locks = _at(state.leg_locks, place) or LegLocks()
        made: Any = {attribute: None if value is None else value == LOCK_WORDS[0]}
        changed = replace(locks, **made)
        before = tuple(lock or LegLocks() for lock in state.leg_locks)
        filled = _with(before, place, len(legs), changed)
        return replace(state, leg_locks=tuple(lock or LegLocks() for lock in filled))

    name, label = f"{legs[place]}_{end}_lock", f"{end}-lock switch of the {legs[place]} leg"
    return ValueSpec(name, "word", LOCK_WORDS, "", 0.0, 0.0, label, read, put)


def _simulator_handle() -> ValueSpec:
    def put(state: AircraftState, value: Value) -> AircraftState:
        position = None if value is None else GearPosition(str(value))
        return replace(state, gear_handle=position)

    def read(state: AircraftState) -> Value:
        return None if state.gear_handle is None else state.gear_handle.value

    label = "gear handle of the simulator"
    return ValueSpec("simulator_handle", "word", ("up", "down"), "", 0.0, 0.0, label, read, put)


def _at(values: tuple[T | None, ...], place: int) -> T | None:
    return values[place] if place < len(values) else None


def _with(
    values: tuple[T | None, ...], place: int, count: int, value: T | None
) -> tuple[T | None, ...]:
    filled = [*values, *[None] * (count - len(values))]
    filled[place] = value
    return tuple(filled)
