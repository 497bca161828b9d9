"""Aircraft values in feed files and starts: their names, for one aircraft or for any."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from panelbridge.config.advice import NAME_RULE
from panelbridge.config.guessed_words import meant_by
from panelbridge.config.reading_context import ReadableNames, ReadingContext
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import AircraftValue, values_of
from panelbridge.logic.brakes.parameters import SIDES
from panelbridge.logic.kit.conditions import UNKNOWN
from panelbridge.signals import Value

_LEG, _WHEEL, _ENGINES = "sampleleg", "samplewheel", 8


def _any_aircraft(
    legs: Sequence[str] = (_LEG,), wheels: Sequence[str] = (_WHEEL,), power_by: str = "lever"
) -> AircraftParameters:
    """An aircraft with all that a feed can give."""
    return AircraftParameters.model_validate(
        {
            "name": "any",
            "engines": _ENGINES,
            "legs": [{"name": name} for name in legs],
            "steering": {"steering_leg": legs[0]},
            "brakes": {
                "wheels": [
                    {"name": name, "side": "right" if "right" in name else "left"}
                    for name in wheels
                ]
            },
            "antiskid": {"left_leg": legs[0], "right_leg": legs[0]},
            "gear_power": {"power": "electric_pack", "nominal_v": 24.0},
            "gear_warning": {"power_by": power_by},
            "authority": dict.fromkeys(("legs", "hydraulics", "brakes", "antiskid"), "feed"),
        }
    )


def aircraft_naming(names: Iterable[str]) -> AircraftParameters:
    """An aircraft whose legs, wheels and engines are those that ``names`` of values speak of."""
    given = [*names]
    legs = _named(given, rf"strut_({NAME_RULE})|({NAME_RULE})_(?:up|down)_lock")
    wheels = _named(given, rf"({NAME_RULE})_(?:wheel_rpm|fed_antiskid|wheel_brake)")
    power = next((kind for kind in ("n1", "torque") if any(n.startswith(kind) for n in given)), "")
    return _any_aircraft(legs[:6] or [_LEG], wheels or ["left", "right"], power or "lever")


def _named(names: Sequence[str], pattern: str) -> list[str]:
    found = [re.fullmatch(pattern, name) for name in names]
    return [*dict.fromkeys(next(filter(None, one.groups())) for one in found if one is not None)]


def sets_of_values(aircraft: AircraftParameters) -> Mapping[str, tuple[str, ...]]:
    """Names that stand for several values of ``aircraft``; one can stand for none."""
    engines = range(1, aircraft.engines + 1)
    wheels = aircraft.brakes.wheels if aircraft.brakes is not None else ()
    groups = {
        "throttles": [f"throttle_{number}" for number in engines],
        "struts": [f"strut_{name}" for name in aircraft.strut_names],
        "engines": [f"engine_{number}" for number in engines],
        "pedals": [f"{side}_pedal" for side in SIDES],
        "wheels_rpm": [f"{wheel.name}_wheel_rpm" for wheel in wheels],
    }
    values = values_of(aircraft)
    return {name: tuple(m for m in members if m in values) for name, members in groups.items()}


def each_value(aircraft: AircraftParameters, given: Mapping[str, Any]) -> dict[str, Value]:
    """``given`` with a name for each value; what ``aircraft`` does not have is left out."""
    sets, values = sets_of_values(aircraft), values_of(aircraft)
    return {
        member: None if value == UNKNOWN else value
        for name, value in given.items()
        for member in sets.get(name, (name,))
        if member in values
    }


@cache
def _of_any_aircraft() -> tuple[Mapping[str, AircraftValue], Mapping[str, AircraftValue]]:
    """The values with one name in every aircraft, and the others by a pattern of their names."""
    specs: dict[str, AircraftValue] = {}
    for power_by in ("lever", "n1", "torque"):
        specs |= values_of(_any_aircraft(power_by=power_by))
    fixed: dict[str, AircraftValue] = {}
    by_pattern: dict[str, AircraftValue] = {}
    for name, spec in specs.items():
        pattern = name.replace(_LEG, NAME_RULE).replace(_WHEEL, NAME_RULE)
        pattern = re.sub(r"_[1-8]$", f"_[1-{_ENGINES}]", pattern)
        (fixed if pattern == name else by_pattern).setdefault(pattern, spec)
    fixed |= {name: specs[members[0]] for name, members in sets_of_values(_any_aircraft()).items()}
    return fixed, by_pattern


class ValueNames:
    """The values that may be named, of one aircraft or of any.

    Args:
        aircraft: None for any aircraft: names of legs and wheels are then free.
    """

    def __init__(self, aircraft: AircraftParameters | None) -> None:
        fixed, self._by_pattern = _of_any_aircraft()
        self._aircraft = aircraft
        self.specs = {**fixed, **values_of(aircraft)} if aircraft is not None else fixed

    def find(self, name: str) -> AircraftValue | None:
        """The value called ``name``, or one of those that it stands for."""
        spec = self.specs.get(name)
        if spec is None and self._aircraft is None and not meant_by(name):
            patterns = self._by_pattern
            spec = next((patterns[p] for p in patterns if re.fullmatch(p, name)), None)
        return spec

    def members(self, name: str) -> tuple[str, ...]:
        """The values of the aircraft that ``name`` stands for; none when it has none of them."""
        assert self._aircraft is not None
        return tuple(each_value(self._aircraft, {name: None}))


def check_values(
    source: YamlSource,
    path: KeyPath,
    aircraft: AircraftParameters | None,
    keys: Sequence[str] = (),
) -> Iterator[ConfigProblem]:
    """Names and values of the group at ``path``, for ``aircraft`` or, without one, for any.

    ``keys``: what else may stand there.
    """
    names = ValueNames(aircraft)
    problems: list[ConfigProblem] = []
    context = ReadingContext(source, ReadableNames(), problems)
    for name in source.keys(path):
        spec = names.find(name)
        if spec is not None:
            context.value((*path, name), spec)
        elif name not in keys:
            context.no_such((*path, name), "aircraft value", name, (*names.specs, *keys), key=True)
    return iter(problems)


def add_value_keys(schema: dict[str, Any]) -> None:
    """Put the values of any aircraft into the JSON Schema of a group that takes them."""
    fixed, by_pattern = _of_any_aircraft()
    sets = sets_of_values(_any_aircraft())
    schema.setdefault("properties", {}).update(
        {name: _schema_of(spec, "All of them: " * (name in sets)) for name, spec in fixed.items()}
    )
    schema["patternProperties"] = {f"^{p}$": _schema_of(s) for p, s in by_pattern.items()}
    schema["additionalProperties"] = False


def _schema_of(spec: AircraftValue, before: str = "") -> dict[str, Any]:
    label = re.sub(rf"{_LEG}|{_WHEEL}", "NAME", re.sub(r"^(\w+) 1\b", r"\1 N", spec.label))
    text = before + label
    one: dict[str, Any] = {"type": "number", "minimum": spec.low, "maximum": spec.high}
    if spec.form == "word":
        one = {"enum": [*spec.words]}
    elif spec.form == "yes_no":
        one = {"type": "boolean"}
    return {"description": f"{text[0].upper()}{text[1:]}.", "anyOf": [one, {"const": UNKNOWN}]}
