"""Follows a way from the root of a file through its model: what may stand there?"""

from __future__ import annotations

import types
from collections.abc import Sequence
from enum import Enum
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from msgspec import Struct
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from panelbridge.config.key_descriptions import key_descriptions
from panelbridge.config.yaml_positions import KeyPath, YamlSource


class Target(Struct, frozen=True):
    """What may stand at a place of a file.

    Attributes:
        kind: its type, bare of ``None`` and of limits; None when nothing is known.
        models: the models that may stand here, by tag; one without a tag has the tag "".
        discriminator: the key whose value chooses among ``models``; empty without a choice.
        limits: the limits on its value.
        name: the nearest key, from whose end the unit is read.
        description: what it is, in words; may be empty.
    """

    kind: Any = None
    models: tuple[tuple[str, type[BaseModel]], ...] = ()
    discriminator: str = ""
    limits: tuple[Any, ...] = ()
    name: str = ""
    description: str = ""

    @property
    def fields(self) -> dict[str, FieldInfo]:
        """The keys that may stand here, when the model is known."""
        return dict(self.models[0][1].model_fields) if len(self.models) == 1 else {}

    @property
    def choices(self) -> tuple[Any, ...]:
        """The values that may stand here, when they are listed."""
        if self.discriminator:
            return tuple(tag for tag, _ in self.models)
        if isinstance(self.kind, type) and issubclass(self.kind, Enum):
            return tuple(member.value for member in self.kind)
        return get_args(self.kind) if get_origin(self.kind) is Literal else ()

    def limit(self, attribute: str) -> Any:
        """The limit named ``ge``, ``gt``, ``le``, ``lt``, ``min_length``...; None without it."""
        values = (getattr(limit, attribute, None) for limit in self.limits)
        return next((value for value in values if value is not None), None)


def target_of(annotation: Any, name: str = "", description: str = "") -> Target:
    """What ``annotation`` lets stand."""
    limits: list[Any] = []
    discriminator = ""
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation, *metadata = get_args(annotation)
            for item in metadata:
                discriminator = getattr(item, "discriminator", None) or discriminator
                limits.extend(item.metadata if isinstance(item, FieldInfo) else [item])
        elif origin in (Union, types.UnionType):
            members = [a for a in get_args(annotation) if a is not type(None)]
            if len(members) > 1:
                tags = [m.model_fields[discriminator].annotation for m in members]
                models = [(str(get_args(t)[0]), m) for t, m in zip(tags, members, strict=True)]
                return Target(
                    annotation, tuple(models), discriminator, tuple(limits), name, description
                )
            annotation = members[0]
        else:
            break
    models = (
        [("", annotation)]
        if isinstance(annotation, type) and issubclass(annotation, BaseModel)
        else []
    )
    return Target(annotation, tuple(models), "", tuple(limits), name, description)


def field_target(name: str, model: type[BaseModel]) -> Target:
    """What the key ``name`` of ``model`` lets stand."""
    info = model.model_fields[name]
    annotation: Any = info.annotation
    if info.metadata or info.discriminator:
        extra = list(info.metadata)
        if info.discriminator:
            extra.append(types.SimpleNamespace(discriminator=info.discriminator))
        annotation = Annotated[(annotation, *extra)]
    return target_of(annotation, name, key_descriptions(model).get(name, ""))


def walk(root: Any, loc: Sequence[str | int]) -> tuple[KeyPath, Target, Target]:
    """Follow pydantic's ``loc`` from ``root``.

    Returns:
        The way in the file (``loc`` without the tags that pydantic puts between), the target at its
        end, and the target around it.
    """
    path: list[str | int] = []
    target = target_of(root)
    around = target
    for step in loc:
        tags = dict(target.models)
        if target.discriminator and step in tags:
            target = Target(tags[str(step)], (("", tags[str(step)]),), name=target.name)
            continue
        around, target = target, child_of(target, step)
        path.append(step)
    return tuple(path), target, around


def child_of(target: Target, step: str | int) -> Target:
    """What may stand under ``step`` of what may stand at ``target``."""
    if str(step) in target.fields:
        return field_target(str(step), target.models[0][1])
    origin, arguments = get_origin(target.kind), get_args(target.kind)
    if origin is dict:
        return target_of(arguments[1], str(step), target.description)
    if origin in (list, tuple) and arguments:
        return target_of(arguments[0], target.name, target.description)
    return Target(name=str(step))


def with_tags(source: YamlSource, root: Any, path: KeyPath) -> tuple[str | int, ...]:
    """``path`` with the tags that pydantic puts between, as ``walk`` takes it."""
    loc: list[str | int] = []
    target = target_of(root)
    for place, step in enumerate((*path, "")):
        if target.discriminator:
            tag = source.get((*path[:place], target.discriminator))
            model = dict(target.models).get(str(tag))
            if model is not None:
                loc.append(str(tag))
                target = target_of(model)
        if place < len(path):
            loc.append(step)
            target = child_of(target, step)
    return tuple(loc)
