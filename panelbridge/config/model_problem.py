"""One error that a model finds: where, what stands there, and what may stand there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import Struct, field

from panelbridge.config import advice
from panelbridge.config.model_walk import Target
from panelbridge.config.words import listed
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource, place_name
from panelbridge.errors import ConfigProblem


class ModelProblem(Struct, frozen=True):
    """One error that a model finds.

    Attributes:
        source: the file.
        path: way to the value in the file.
        target: what may stand there.
        around: what may stand around it.
        kind: the library's name for this type of error.
        context: what the library says besides.
    """

    source: YamlSource
    path: KeyPath
    target: Target
    around: Target = Target()
    kind: str = ""
    context: Mapping[str, Any] = field(default_factory=dict)

    @property
    def value(self) -> Value:
        """What stands there."""
        return self.source.get(self.path)

    @property
    def position(self) -> Position:
        """Where it stands."""
        return self.source.position(self.path)

    @property
    def name(self) -> str:
        """How people call the place."""
        return place_name(self.path)

    def at_value(self, what: str, hint: str = "") -> ConfigProblem:
        """A problem that points at it."""
        return self.source.at_single(self.path, what, hint)


def sentence(text: str) -> str:
    """A description as the end of a hint: one line, without its full stop."""
    return " ".join(text.split()).rstrip(".")


def describe(target: Target) -> str:
    """What a key is for, and what it can be."""
    can, limits = "", advice.range_text(target)
    if target.choices:
        can = f"It can be {listed(target.choices)}" if len(target.choices) > 1 else ""
    elif limits:
        can = f"It is a number {limits}"
    return ". ".join(part for part in (sentence(target.description), can) if part)
