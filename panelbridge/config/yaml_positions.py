"""What was read from a YAML file: plain values, and where each of them stands."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from panelbridge.config.words import quoted
from panelbridge.config.yaml_scalars import Scalar
from panelbridge.errors import ConfigProblem

KeyPath = tuple[str | int, ...]
"""Way from the root to a value: keys of mappings, places in lists."""
Value = Scalar | dict[str, "Value"] | list["Value"]


class Position(Struct, frozen=True):
    """Where a value stands.

    Attributes:
        line: 1-based line at which the value begins.
        column: 1-based column at which it begins (its anchor, when it has one).
        key_line: line of its key; of the value itself in a list and at the root.
        key_column: column of its key.
        written: the text of a value that is no mapping or list; empty for those.
        plain: written without quotes.
        file: where it stands when that is another file; empty for the file itself.
    """

    line: int
    column: int
    key_line: int
    key_column: int
    written: str = ""
    plain: bool = False
    file: str = ""

    @property
    def where(self) -> str:
        """Where the value begins, for a message about another place."""
        return f"line {self.line}, column {self.column}"


class YamlSource(Struct, frozen=True):
    """A YAML text that could be read.

    Attributes:
        file: path as the user gave it.
        value: what the text says.
        positions: place of every value, by its way from the root.
    """

    file: str
    value: Value
    positions: Mapping[KeyPath, Position]

    def position(self, path: KeyPath) -> Position:
        """Place of the value at ``path``, or of the nearest thing around it that is there."""
        while path not in self.positions:
            path = path[:-1]
        return self.positions[path]

    def at_value(self, path: KeyPath, what: str, hint: str = "") -> ConfigProblem:
        """A problem that points at a value."""
        position = self.position(path)
        file = position.file or self.file
        return ConfigProblem(file, position.line, position.column, what, hint)

    def at_key(self, path: KeyPath, what: str, hint: str = "") -> ConfigProblem:
        """A problem that points at the key of a value."""
        position = self.position(path)
        file = position.file or self.file
        return ConfigProblem(file, position.key_line, position.key_column, what, hint)

    def at_single(self, path: KeyPath, what: str, hint: str = "") -> ConfigProblem:
        """A problem that points at a single value, or at the key of a larger or an empty one."""
        value = self.get(path)
        at_key = value is None or isinstance(value, dict | list)
        return (self.at_key if at_key else self.at_value)(path, what, hint)

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


def place_name(path: KeyPath) -> str:
    """The way to a value as people read it: ``'lamps.nose_green.pin'``."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return quoted(text) if text else "this file"
