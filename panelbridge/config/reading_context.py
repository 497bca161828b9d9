"""The context in which names and values of a file are read: its text, the names, the problems."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal, Protocol

from annotated_types import Ge, Le
from msgspec import Struct, field

from panelbridge.config.key_texts import MAX_LISTED
from panelbridge.config.model_problem import ModelProblem
from panelbridge.config.model_walk import Target
from panelbridge.config.problem_texts import WRITERS
from panelbridge.config.words import MAX_HINTS, did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.config.yaml_positions import Value as Given
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft_values import AircraftValue
from panelbridge.logic.kit.conditions import UNKNOWN
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Value


class NamesInUse(Protocol):
    """What a condition may name."""

    @property
    def signals(self) -> Mapping[str, Signal]:
        """Every signal."""

    @property
    def sets_of_signals(self) -> Mapping[str, tuple[str, ...]]:
        """Names that stand for several signals; all of them are meant."""

    @property
    def left_out(self) -> frozenset[str]:
        """What the aircraft has and the panel has not."""

    @property
    def panel_name(self) -> str:
        """The panel's name; empty without one."""


class ReadableNames(Struct, frozen=True):
    """Names without a panel."""

    signals: Mapping[str, Signal] = field(default_factory=dict)
    sets_of_signals: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    left_out: frozenset[str] = frozenset()
    panel_name: str = ""


class ReadingContext(Struct):
    """A file that is being read, beside what it may name.

    Attributes:
        source: the file, or a part of it.
        names: what it may name.
        problems: found so far; shared by all contexts of one loading.
    """

    source: YamlSource
    names: NamesInUse
    problems: list[ConfigProblem]

    # -- places ---------------------------------------------------------------------------------

    def get(self, *path: str | int) -> Given:
        """What stands at ``path``."""
        return self.source.get(path)

    def keys(self, path: KeyPath) -> tuple[str, ...]:
        """The keys of the group at ``path``; none when it is no group."""
        return self.source.keys(path)

    def number(self, *path: str | int) -> float | None:
        """The number at ``path``, if there is one."""
        value = self.source.get(path)
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        return float(value) if is_number else None  # type: ignore[arg-type]

    def texts(self, path: KeyPath) -> Iterator[tuple[KeyPath, str]]:
        """The text, or each text of the list, at ``path``; anything else is a problem."""
        value = self.source.get(path)
        if isinstance(value, str):
            yield path, value
        elif isinstance(value, list) and value:
            for place, item in enumerate(value):
                if isinstance(item, str):
                    yield (*path, place), item
                else:
                    self.wrong_text((*path, place))
        else:
            self.wrong_text(path)

    # -- problems -------------------------------------------------------------------------------

    def at_key(self, path: KeyPath, what: str, hint: str = "") -> None:
        """A problem at a key."""
        self.problems.append(self.source.at_key(path, what, hint))

    def at_value(self, path: KeyPath, what: str, hint: str = "") -> None:
        """A problem at a value; at its key when it is empty or a group."""
        self.problems.append(self.source.at_single(path, what, hint))

    def wrong_text(self, path: KeyPath) -> None:
        """A name was needed."""
        value = self.source.get(path)
        what = f"{place_name(path)} must be a name"
        if value is None or value == []:
            what = f"{place_name(path)} is empty"
        self.at_value(path, what, "Write a name, or a list of names: [first, second]")

    def no_such(
        self, path: KeyPath, thing: str, name: str, names: Iterable[str], *, key: bool
    ) -> None:
        """There is no ``thing`` called ``name``; ``names`` are those that there are."""
        if name in self.names.left_out:
            what = f"the panel {quoted(self.names.panel_name)} has no {thing} {quoted(name)}"
            hint = "The aircraft has it, and it is not wired on this panel"
            (self.at_key if key else self.at_value)(path, what, hint)
            return
        choices = [*names]
        hint = did_you_mean(name, choices) if len(self.problems) < MAX_HINTS else " "
        if not hint and not choices:
            hint = "There is none here"
        elif not hint and len(choices) > MAX_LISTED:
            hint = f"There are {listed(choices[:MAX_LISTED], 'and')}, among others"
        elif not hint:
            hint = f"{'There are' if len(choices) > 1 else 'There is'} {listed(choices, 'and')}"
        what = f"there is no {thing} {quoted(name)}"
        (self.at_key if key else self.at_value)(path, what, hint.strip())

    # -- values ---------------------------------------------------------------------------------

    def value(self, path: KeyPath, spec: AircraftValue | Signal) -> tuple[bool, Value]:
        """Whether the value at ``path`` can be one of ``spec``, and the value."""
        value = self.source.get(path)
        never_unknown = isinstance(spec, Signal) and spec.never_unknown
        if value == UNKNOWN and not never_unknown:
            return True, None
        if spec.form == "number":
            number = self.limited(path, spec.name, spec.low, spec.high)
            return number is not None, number
        if spec.form == "yes_no":
            if isinstance(value, bool):
                return True, value
            self._wrong("bool_type", path, Target(bool))
            return False, None
        return self.word(path, spec.words if never_unknown else (*spec.words, UNKNOWN))

    def word(self, path: KeyPath, words: tuple[str, ...]) -> tuple[bool, Value]:
        """Whether one of ``words`` stands at ``path``, and which."""
        value = self.source.get(path)
        if isinstance(value, str) and value in words:
            return True, value
        self._wrong("literal_error", path, Target(Literal[words]))
        return False, None

    def limited(self, path: KeyPath, name: str, low: float, high: float) -> float | None:
        """The number at ``path``, from ``low`` to ``high``; None when it is none."""
        number = self.number(*path)
        if number is not None and low <= number <= high:
            return number
        kind = "float_type" if number is None else "less_than_equal"
        self._wrong(kind, path, Target(float, limits=(Ge(low), Le(high)), name=name))
        return None

    def _wrong(self, kind: str, path: KeyPath, target: Target) -> None:
        self.problems.append(WRITERS[kind](ModelProblem(self.source, path, target)))
