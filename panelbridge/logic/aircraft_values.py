"""The aircraft's values by name: what a scenario can set, ramp and read.

The names are those of ``AircraftState``, with one name for each throttle (``throttle_1``), engine
(``engine_1``), strut (``strut_nose``) and lock switch (``nose_up_lock``), and ``simulator_handle``
for the handle of the simulator, because ``gear_handle`` is that of the panel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple, TypeVar

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.brake_parameters import SIDES
from panelbridge.signals import AircraftState, GearPosition, LegLocks, Value

T = TypeVar("T")
Form = Literal["number", "word", "yes_no"]
STRUT_WORDS = ("compressed", "extended")
LOCK_WORDS = ("made", "open")
ENGINE_WORDS = ("running", "stopped")
POWER_WORDS = ("on", "off")
WORKING_WORDS = ("working", "failed")


_STEERING_PEDAL = "steering_pedal_fraction"


class NumberInfo(NamedTuple):
    """A plain number of an aircraft.

    Attributes:
        label: words for people.
        unit: its unit; empty for a fraction.
        low: least sensible value.
        high: greatest sensible value.
    """

    label: str
    unit: str
    low: float
    high: float


NUMBERS: Mapping[str, NumberInfo] = {
    "airspeed_kias": NumberInfo("indicated airspeed", "kt", 0.0, 1000.0),
    "altitude_ft": NumberInfo("pressure altitude", "ft", -2000.0, 60_000.0),
    "ground_speed_kt": NumberInfo("speed over the ground", "kt", 0.0, 1000.0),
    "flap_deg": NumberInfo("flap angle", "degrees", 0.0, 90.0),
    "hydraulic_pressure_psi": NumberInfo(
        "pressure of the main hydraulic system", "psi", 0.0, 10_000.0
    ),
    "steering_pedal_fraction": NumberInfo(
        "steering pedals of the simulator, -1 left to 1 right", "", -1.0, 1.0
    ),
}
"""The plain numbers of an aircraft."""


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
    steers = aircraft.steering.steering_leg is not None
    specs = [_number(name) for name in NUMBERS if name != _STEERING_PEDAL]
    engines = aircraft.engines
    specs += [_throttle(number, engines) for number in range(engines)]
    legs = [leg.name for leg in aircraft.legs]
    specs += [_strut(place, legs) for place in range(len(legs))]
    specs.append(_simulator_handle())
    specs += [_engine(number, engines) for number in range(engines)]
    specs.append(_bus_power())
    if steers:
        specs.append(_number(_STEERING_PEDAL))
    specs += _of_brakes(aircraft)
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
    label, unit, low, high = NUMBERS[name]

    def put(state: AircraftState, value: Value) -> AircraftState:
        changed: Any = {name: value if value is None else float(value)}
        return replace(state, **changed)

    return ValueSpec(name, "number", (), unit, low, high, label, lambda s: getattr(s, name), put)


def _of_brakes(aircraft: AircraftParameters) -> list[ValueSpec]:
    """Pedals, wheels, and what a feed with the authority tells of the brakes."""
    if aircraft.brakes is None:
        return []
    wheels = [wheel.name for wheel in aircraft.brakes.wheels]
    told = aircraft.authority.brakes == "feed"
    specs = []
    for place, side in enumerate(SIDES):
        label = f"{side} brake pedal of the simulator, 0 free to 1"
        specs.append(_part("brake_pedal_fraction", 2, place, f"{side}_pedal", label, "", 1.0))
    for place, side in enumerate(SIDES if told else ()):
        label = f"pressure in the {side} brakes, told"
        name = f"{side}_told_brake_psi"
        specs.append(_part("brake_pressure_psi", 2, place, name, label, "psi", 10_000.0))
    if aircraft.antiskid is None:
        return specs
    for place, wheel in enumerate(wheels):
        label = f"turning of the {wheel} wheel"
        name = f"{wheel}_wheel_rpm"
        specs.append(_part("wheel_speed_rpm", len(wheels), place, name, label, "rpm", 5000.0))
    if aircraft.authority.antiskid == "feed":
        specs += [_antiskid_told(place, wheels) for place in range(len(wheels))]
    return specs


def _part(
    field: str, count: int, place: int, name: str, label: str, unit: str, high: float
) -> ValueSpec:
    """A number that is one of several in a field of the state."""

    def read(state: AircraftState) -> Value:
        values: tuple[float | None, ...] = getattr(state, field)
        return _at(values, place)

    def put(state: AircraftState, value: Value) -> AircraftState:
        before: tuple[float | None, ...] = getattr(state, field)
        if value is None and not before:
            return state
        number = None if value is None else float(value)
        changed: Any = {field: _with(before, place, count, number)}
        return replace(state, **changed)

    return ValueSpec(name, "number", (), unit, 0.0, high, label, read, put)


def _antiskid_told(place: int, wheels: list[str]) -> ValueSpec:
    def read(state: AircraftState) -> Value:
        working = _at(state.antiskid_working, place)
        return None if working is None else WORKING_WORDS[not working]

    def put(state: AircraftState, value: Value) -> AircraftState:
        before = state.antiskid_working
        if value is None and not before:
            return state
        working = None if value is None else value == WORKING_WORDS[0]
        return replace(state, antiskid_working=_with(before, place, len(wheels), working))

    name, label = f"{wheels[place]}_antiskid_told", f"anti-skid of the {wheels[place]} wheel, told"
    return ValueSpec(name, "word", WORKING_WORDS, "", 0.0, 0.0, label, read, put)


def _throttle(place: int, count: int) -> ValueSpec:
    def read(state: AircraftState) -> Value:
        return _at(state.throttle_fraction, place)

    def put(state: AircraftState, value: Value) -> AircraftState:
        number = None if value is None else float(value)
        levers = _with(state.throttle_fraction, place, count, number)
        return replace(state, throttle_fraction=levers)

    label = f"throttle {place + 1}, 0 idle to 1 full"
    return ValueSpec(f"throttle_{place + 1}", "number", (), "", 0.0, 1.0, label, read, put)


def _engine(place: int, count: int) -> ValueSpec:
    def read(state: AircraftState) -> Value:
        running = _at(state.engine_running, place)
        return None if running is None else ENGINE_WORDS[not running]

    def put(state: AircraftState, value: Value) -> AircraftState:
        running = None if value is None else value == ENGINE_WORDS[0]
        if running is None and not state.engine_running:
            return state
        return replace(state, engine_running=_with(state.engine_running, place, count, running))

    label = f"engine {place + 1}, which drives its hydraulic supply"
    return ValueSpec(f"engine_{place + 1}", "word", ENGINE_WORDS, "", 0.0, 0.0, label, read, put)


def _bus_power() -> ValueSpec:
    def read(state: AircraftState) -> Value:
        return None if state.bus_powered is None else POWER_WORDS[not state.bus_powered]

    def put(state: AircraftState, value: Value) -> AircraftState:
        return replace(state, bus_powered=None if value is None else value == POWER_WORDS[0])

    label = "power of the electrical bus; unknown counts as on"
    return ValueSpec("bus_power", "word", POWER_WORDS, "", 0.0, 0.0, label, read, put)


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
