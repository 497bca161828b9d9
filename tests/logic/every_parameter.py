"""Walks every parameter of an aircraft and gives other aircraft in which it alone differs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, Literal, get_args

from pydantic import ValidationError

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.systems import misfits_of

Step = str | int
Path = tuple[Step, ...]


@dataclass(frozen=True)
class Place:
    """A parameter of an aircraft.

    Attributes:
        path: keys from the root.
        owner: the group that it stands in, and its name there.
        value: as it is.
        choices: what else it can be, of a choice.
        can_be_null: null is allowed.
        groups: what stands there by default when it is not null, of a group.
    """

    path: Path
    owner: tuple[type[Parameters], str]
    value: object
    choices: tuple[object, ...]
    can_be_null: bool
    groups: tuple[Parameters, ...]

    @property
    def words(self) -> str:
        """``legs.0.extend_s``."""
        return ".".join(str(step) for step in self.path)


def places_of(group: Parameters, path: Path = ()) -> Iterator[Place]:
    """Every parameter under a group, deepest last."""
    for name, info in type(group).model_fields.items():
        value, here = getattr(group, name), (*path, name)
        choices = tuple(_choices(info.annotation))
        null = type(None) in get_args(info.annotation)
        groups = tuple(_default_groups(info.annotation)) if value is None else ()
        yield Place(here, (type(group), name), value, choices, null, groups)
        yield from _inside(value, here)


def _inside(value: object, path: Path) -> Iterator[Place]:
    if isinstance(value, Parameters):
        yield from places_of(value, path)
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from _inside(one, (*path, number))
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from _inside(one, (*path, key))


def _default_groups(annotation: object) -> Iterator[Parameters]:
    for inner in get_args(annotation):
        if isinstance(inner, type) and issubclass(inner, Parameters):
            with suppress(ValidationError):  # not every group can do without numbers
                yield inner()


def _choices(annotation: object) -> Iterator[object]:
    if getattr(annotation, "__origin__", None) is Literal:
        yield from get_args(annotation)
    for inner in get_args(annotation):
        if not isinstance(inner, (str, int)):
            yield from _choices(inner)


def groups_under(group: type[Parameters]) -> set[type[Parameters]]:
    """Every group that an aircraft file can have."""
    found = {group}
    for info in group.model_fields.values():
        found |= _groups_in(info.annotation)
    return found


def _groups_in(annotation: object) -> set[type[Parameters]]:
    found: set[type[Parameters]] = set()
    if isinstance(annotation, type) and issubclass(annotation, Parameters):
        found |= groups_under(annotation)
    for inner in get_args(annotation):
        found |= _groups_in(inner)
    return found


def others(aircraft: AircraftParameters, place: Place) -> Iterator[AircraftParameters]:
    """The aircraft with this parameter alone changed, as far as that makes an aircraft.

    A value that only fits with another one is changed together with it: two that may not be the
    same are exchanged, and one that is refused beside a number goes without that number.
    """
    plain = aircraft.model_dump()
    group, key = place.owner
    legs = [leg.name for leg in aircraft.legs] if isinstance(place.value, str) else []
    for value in (*_other_values(place), *legs):
        changed = deepcopy(plain)
        _at(changed, place.path[:-1])[place.path[-1]] = _as_plain(value)
        made = list(_made(changed)) if value != place.value else []
        if not made:
            made = [*_exchanged(plain, place, value), *_without_others(changed, place)]
        yield from made
    if key == "name" and group is not AircraftParameters:
        yield from _made(_renamed(plain, str(place.value)))


def refused(aircraft: AircraftParameters, place: Place) -> bool:
    """Some other value of this parameter is refused."""
    plain = aircraft.model_dump()
    for value in _other_values(place):
        changed = deepcopy(plain)
        _at(changed, place.path[:-1])[place.path[-1]] = _as_plain(value)
        if not any(_made(changed)):
            return True
    return False


def _exchanged(plain: Any, place: Place, value: object) -> Iterator[AircraftParameters]:
    if len(place.path) < 3 or not isinstance(place.path[-2], int):
        return
    key, number = place.path[-1], place.path[-2]
    changed = deepcopy(plain)
    group = _at(changed, place.path[:-2])
    for other in group:
        if other[key] == value:
            other[key], group[number][key] = place.value, value
            yield from _made(changed)


def _without_others(changed: Any, place: Place) -> Iterator[AircraftParameters]:
    group, _ = place.owner
    for name, info in group.model_fields.items():
        if type(None) in get_args(info.annotation) and name != place.path[-1]:
            without = deepcopy(changed)
            _at(without, place.path[:-1])[name] = None
            yield from _made(without)


def _made(plain: Mapping[str, Any]) -> Iterator[AircraftParameters]:
    try:
        aircraft = AircraftParameters.model_validate(plain)
        if not any(misfits_of(aircraft)) and set(aircraft.lamps.flashing) <= set(
            lamps_of(aircraft)
        ):
            PanelLogic(aircraft)
            yield aircraft
    except (ValidationError, LogicError):
        return


def _other_values(place: Place) -> Iterator[object]:
    value = place.value
    if place.can_be_null and value is not None:
        yield None
    if value is None:
        yield from place.groups
        yield from (5.0, 100.0)
    elif place.choices and not isinstance(value, list):
        yield from (choice for choice in place.choices if choice != value)
    elif isinstance(value, bool):
        yield not value
    elif isinstance(value, int):
        yield from (value + 1, value - 1)
    elif isinstance(value, float):
        yield from (value * factor for factor in (1.5, 0.6, 1.12, 0.9, 2.0, 1.03, 0.97))
        yield from (value + 0.3, 1.0, 0.0)
    elif isinstance(value, list):
        yield from (value[:n] + value[n + 1 :] for n in range(len(value)))
        yield value[::-1]
    elif isinstance(value, dict):
        yield from ({k: v for k, v in value.items() if k != gone} for gone in value)
    elif isinstance(value, str):
        yield f"{value} 2"


def _at(plain: Any, path: Path) -> Any:
    for step in path:
        plain = plain[step]
    return plain


def _as_plain(value: object) -> object:
    if isinstance(value, Parameters):
        return value.model_dump()
    if isinstance(value, list):
        return [_as_plain(one) for one in value]
    if isinstance(value, dict):
        return {key: _as_plain(one) for key, one in value.items()}
    return value


def _renamed(plain: Any, name: str) -> Any:
    """Everything that is called so, or after it, is called otherwise; sides stay sides."""
    if isinstance(plain, dict):
        return {
            f"other_{key[len(name) + 1 :]}" if key.startswith(f"{name}_travel") else key: (
                value if key == "side" else _renamed(value, name)
            )
            for key, value in plain.items()
        }
    if isinstance(plain, list):
        return [_renamed(value, name) for value in plain]
    return "other" if plain == name else plain
