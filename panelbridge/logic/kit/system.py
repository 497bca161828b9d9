"""The base of all systems: declarations, one pure update, and three pieces of state.

A system is a pure function of its memory, the world and the time: ``update(now_s, world)`` returns
frozen facts, and may set ``memory`` (frozen) and ``due_s``. The generic step notes what an update
read, and runs it again when that has changed or ``due_s`` has come.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from math import inf
from typing import Any, ClassVar, Generic, Self, TypeVar

from msgspec import Struct

from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.declarations import (
    CommandSignal,
    EventTexts,
    Gauge,
    Group,
    HornRule,
    Lamp,
    Misfit,
    Signal,
    Solenoid,
    Want,
    loudest,
)
from panelbridge.logic.kit.handles import Fault, Placing, Switch
from panelbridge.logic.kit.readings import Reading
from panelbridge.logic.kit.rule import Decision, Words
from panelbridge.logic.kit.world import Facts, World
from panelbridge.signals import Event, HornPattern

F = TypeVar("F", bound=Facts)


class Build(Struct, frozen=True):
    """What systems are made from.

    Attributes:
        aircraft: the aircraft file (``logic.aircraft.AircraftParameters``).
        panel: numbers of the panel (``logic.panel_numbers.PanelNumbers``).
        earlier: the systems before it in the order.
    """

    aircraft: Any
    panel: Any
    earlier: tuple[System[Any], ...] = ()


class System(Generic[F]):
    """Base of all systems.

    Class attributes are the same for every aircraft; the others are set in ``__init__`` from the
    aircraft's numbers.
    """

    title: ClassVar[str] = ""
    """Its section on the screen; systems of one title share it."""
    groups: ClassVar[tuple[Group, ...]] = ()
    """Its groups in the aircraft file."""
    charts: ClassVar[tuple[type[Chart], ...]] = ()
    events: EventTexts = {}
    """What it notes; on the class every event that it can note."""
    switches: tuple[Switch[Any], ...] = ()
    """What it reads of the panel; on the class every switch that it can read."""
    readings: tuple[Reading[Any], ...] = ()
    """Thresholds and quantisers that it reads."""
    faults: tuple[Fault, ...] = ()
    placings: tuple[Placing, ...] = ()
    """Parts that can begin anywhere in their travel on the bench."""
    lamps: tuple[Lamp, ...] = ()
    horn: tuple[HornRule, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    solenoids: tuple[Solenoid, ...] = ()
    values: tuple[Signal, ...] = ()
    commands: tuple[CommandSignal, ...] = ()

    facts: F
    """What it published last; set in ``__init__``, it is published before the first step."""
    memory: Any = None
    """Frozen; its own business."""
    due_s: float = inf
    """When it wants an update though nothing it reads has changed, s."""

    def __init__(self) -> None:
        self.noted: list[Event] = []
        """Events of the update that is running; the step takes them out."""

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """The system of an aircraft, or None when the aircraft has none."""
        raise NotImplementedError

    def fresh(self) -> Self:
        """One with the same declarations and a state of its own, as this one has it now."""
        other = copy(self)
        other.noted = []
        return other

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """What its groups ask for and other groups of the aircraft file do not have."""
        yield from ()

    @classmethod
    def wants(cls, aircraft: Any) -> Iterator[Want]:
        """Values that it can do without, and what suffers when a feed does not give them."""
        yield from ()

    def update(self, now_s: float, world: World) -> F:
        """Decide: new facts, ``memory`` and ``due_s``.

        Args:
            now_s: seconds; ``due_s`` itself when that has come.
            world: what it may see. What it does not read does not wake it.
        """
        raise NotImplementedError

    def never_notes(self, *names: str) -> None:
        """Leave out events that the parts of this aircraft never give."""
        self.events = {name: text for name, text in self.events.items() if name not in names}

    def note(self, time_s: float, name: str, subject: str = "", **words: str) -> None:
        """Note an event of ``events``; ``words`` fill its text. A wrong name is a KeyError."""
        level, text = self.events[name]
        spoken = subject.replace("_", " ")  # the subject is a name, the text is for people
        filled = text.format(subject=spoken, **words) if "{" in text else text
        self.noted.append(Event(time_s, name, level, filled, subject))

    # -- what explains and shows it; called on request, never in a step --------------------------

    def words(self, world: World) -> Words:
        """The fields of the facts that rules look at, in words, with values and limits."""
        return {}

    def decisions(self, output: str, world: World) -> Sequence[Decision]:
        """What decides one of its lamps or solenoids, or its share of the ``horn``."""
        if output == "horn":
            rules = tuple([one.rule for one in self.horn])
            return (Decision(rules, self.facts, self.words(world)),) if rules else ()
        lamps = [
            Decision(one.rules, one.of(self.facts), self.words_of(one, world))
            for one in self.lamps
            if one.name == output
        ]
        solenoids = [
            Decision(one.rules, self.facts, self.words(world))
            for one in self.solenoids
            if one.name == output
        ]
        return [*lamps, *solenoids]

    def words_of(self, lamp: Lamp, world: World) -> Words:
        """The same for one lamp, for lamps whose rules look at a part of the facts."""
        return self.words(world)

    def sounds(self) -> HornPattern:
        """How the horn has to sound for it."""
        facts = self.facts
        return loudest([one.pattern for one in self.horn if one.rule.holds(facts)])

    def sounding(self) -> tuple[str, ...]:
        """Names of its rules that sound the horn now."""
        facts = self.facts
        return tuple([one.rule.name for one in self.horn if one.rule.holds(facts)])

    def failures(self) -> tuple[str, ...]:
        """What it sees to be broken now, a sentence each."""
        return ()

    def shows(self, world: World) -> Mapping[str, Any]:
        """Fields of ``signals.LogicView`` that are its own."""
        return {}
