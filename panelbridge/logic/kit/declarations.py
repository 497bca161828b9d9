"""What a system declares: parameters, lamps, horn rules, gauges, values, commands, events.

Inventory, schemas, name lists, screens, bench signals, timelines and reasons are made from these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from math import inf
from typing import Any, Literal, NamedTuple

from msgspec import Struct

from panelbridge.logic.kit.curves import Curve
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.rule import Rule
from panelbridge.logic.kit.world import World
from panelbridge.signals import HornPattern, Level, Value

Form = Literal["number", "word", "yes_no"]
_LOUDNESS = (HornPattern.SILENT, HornPattern.INTERMITTENT, HornPattern.CONTINUOUS)


class Group(NamedTuple):
    """A group of parameters in the aircraft file.

    Attributes:
        key: its key.
        kind: its type: a class of parameters, or a list of one.
        text: what it is, one sentence, for schemas and the key reference.
        default: when the file leaves it out; None = the aircraft has no such thing.
    """

    key: str
    kind: Any
    text: str
    default: Any = None


class Misfit(NamedTuple):
    """Two parts of an aircraft file that do not fit.

    Attributes:
        path: keys from the root of the file to the value that is wrong.
        what: what is wrong.
        hint: what to do.
        choices: what could stand there instead, for hints about misspelt words.
        is_key: the key is wrong, not its value.
        is_warning: it can be so, and is rarely meant.
    """

    path: tuple[str | int, ...]
    what: str
    hint: str
    choices: tuple[str, ...] = ()
    is_key: bool = False
    is_warning: bool = False


class Want(NamedTuple):
    """A value of the aircraft that a system can do without, at a loss.

    Attributes:
        values: names, as in feed files; any that is not given is missed.
        loss: what does not work then, a sentence.
        hint: what to do.
    """

    values: tuple[str, ...]
    loss: str
    hint: str


def _itself(facts: Any) -> Any:
    return facts


@dataclass(frozen=True, slots=True)
class Lamp:
    """A lamp; its colour is the last word of its name. Two systems may declare the same lamp.

    Attributes:
        name: as in panel files: ``steering_green``.
        label: words for people.
        rules: any of them lights it.
        required: a panel without it has to say so.
        of: the part of the system's facts that the rules look at.
        warning_tested: the gear warning test lights it.
        legend: short words on it, unless the panel file has others: two of at most 10 letters.
    """

    name: str
    label: str
    rules: tuple[Rule, ...]
    required: bool = False
    of: Callable[[Any], object] = field(default=_itself, repr=False, compare=False)
    warning_tested: bool = False
    legend: str = ""

    @property
    def colour(self) -> str:
        """Its colour."""
        return self.name.rsplit("_", 1)[1]

    def lit(self, facts: Any) -> bool:
        """Whether these facts light it."""
        part = self.of(facts)
        return any(rule.holds(part) for rule in self.rules)


class HornRule(Struct, frozen=True):
    """A rule that sounds the horn, over the system's facts.

    Attributes:
        rule: the rule.
        pattern: how it sounds.
    """

    rule: Rule
    pattern: HornPattern


@dataclass(frozen=True, slots=True)
class Signal:
    """A named value that a system publishes; a function of time, evaluated when it is read.

    Attributes:
        name: snake case, with its unit where it has one: ``hydraulic_reservoir_l``.
        form: a number, one of ``words``, or yes/no.
        label: words for people, without the unit.
        read: its value in a world; None is unknown.
        unit: of a number; empty for a fraction, a word or yes/no.
        words: what a word can be.
        low: least number that it can be.
        high: greatest number that it can be.
        curve: of a number that can change by itself: its function of time; None while it has none.
        cell: of a number that is the value of one cell, as it is: that cell.
        group: "aircraft", "switch", "lamp", "horn", "leg", "gear" or "system".
        never_unknown: it always has a value.
        output: the lamp, or the horn, whose state it is; empty for others.
        short: shorter label for narrow screens; empty = the label.
        when_none: what no value means, where that is not *unknown*: "never".
    """

    name: str
    form: Form
    label: str
    read: Callable[[World], Value] = field(repr=False, compare=False)
    unit: str = ""
    words: tuple[str, ...] = ()
    low: float = -inf
    high: float = inf
    curve: Callable[[World], Curve | None] | None = field(default=None, repr=False, compare=False)
    cell: Handle[float] | None = field(default=None, repr=False, compare=False)
    group: str = "system"
    never_unknown: bool = False
    output: str = ""
    short: str = ""
    when_none: str = ""

    def moving(self, world: World) -> Curve | None:
        """Its function of time while it still changes by itself; None when it stands still."""
        curve = self.curve(world) if self.curve is not None else None
        return None if curve is None or curve.at(inf) == curve.at(world.now_s) else curve


@dataclass(frozen=True, slots=True)
class Gauge:
    """A needle that the system moves.

    Attributes:
        name: as in panel files.
        label: words for people.
        unit: of what it shows; empty for a plain number.
        step: it moves in steps of this size, in its unit.
        read: what it shows; None is unknown.
        curve: its function of time while it changes by itself; None while it stands still.
    """

    name: str
    label: str
    unit: str
    step: float
    read: Callable[[World], float | None] = field(repr=False, compare=False)
    curve: Callable[[World], Curve | None] | None = field(default=None, repr=False, compare=False)


class Solenoid(Struct, frozen=True):
    """A solenoid that the system energises.

    Attributes:
        name: as in panel files.
        label: words for people.
        rules: any of them energises it, over the system's facts.
    """

    name: str
    label: str
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class CommandSignal:
    """What the system asks of the simulator.

    Attributes:
        name: as in ``Commands``.
        label: words for people.
        read: the value that is asked for.
    """

    name: str
    label: str
    read: Callable[[World], Any] = field(repr=False, compare=False)


EventTexts = Mapping[str, tuple[Level, str]]
"""Level and text of each event by name; ``{subject}`` and other words are filled in."""


def loudest(patterns: Iterable[HornPattern]) -> HornPattern:
    """The pattern that outweighs the others; silent when there are none."""
    return max(patterns, key=_LOUDNESS.index, default=HornPattern.SILENT)
