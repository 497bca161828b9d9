"""What was read from a YAML file: plain values, and where each of them stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from panelbridge.config.yaml_scalars import Scalar
from panelbridge.errors import ConfigMistake

KeyPath = tuple[str | int, ...]
"""Way from the root to a value: keys of mappings, places in lists."""
Value = Scalar | dict[str, "Value"] | list["Value"]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a value stands.

    Attributes:
        line: 1-based line at which the value begins.
        column: 1-based column at which it begins (its anchor, when it has one).
        key_line: line of its key; of the value itself in a list and at the root.
        key_column: column of its key.
        written: the text of a value that is no mapping or list; empty for those.
        plain: written without quotes.
    """

    line: int
    column: int
    key_line: int
    key_column: int
    written: str = ""
    plain: bool = False


@dataclass(frozen=True, slots=True)
class YamlSource:
    """A YAML text that could be read.

    Attributes:
        file: path as the user gave it.
        value: what the text says.
        spots: place of every value, by its way from the root.
    """

    file: str
    value: Value
    spots: Mapping[KeyPath, Spot]

    def spot(self, path: KeyPath) -> Spot:
        """Place of the value at ``path``, or of the nearest thing around it that is there."""
        while path not in self.spots:
            path = path[:-1]
        return self.spots[path]

    def at_value(self, path: KeyPath, what: str, hint: str = "") -> ConfigMistake:
        """A mistake that points at a value."""
        spot = self.spot(path)
        return ConfigMistake(self.file, spot.line, spot.column, what, hint)

    def at_key(self, path: KeyPath, what: str, hint: str = "") -> ConfigMistake:
        """A mistake that points at the key of a value."""
        spot = self.spot(path)
        return ConfigMistake(self.file, spot.key_line, spot.key_column, what, hint)

    def get(self, path: KeyPath) -> Value:
        """The value at ``path``; None when there is nothing."""
        value = self.value
        for step in path:
            if isinstance(value, dict) and isinstance(step, str):
                value = value.get(step)
            elif isinstance(value, list) and isinstance(step, int) and 0 <= step < len(value):
                value = value[step]
            else:
                return None
        return value

    def keys(self, path: KeyPath) -> tuple[str, ...]:
        """The keys of the group at ``path``; none when it is no group."""
        group = self.get(path)
        return tuple(group) if isinstance(group, dict) else ()
