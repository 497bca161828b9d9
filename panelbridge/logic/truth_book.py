"""Since when the facts that rules look at are as they are: noted when facts have changed.

No words are made and nothing is decided for it: facts are compared by identity first, and of
changed ones the fields that rules name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from operator import attrgetter
from typing import Any

from panelbridge.logic.kit.rule import Rule
from panelbridge.logic.kit.system import System


class _Part:
    """Fields that the rules of one output look at, and since when each is as it is."""

    __slots__ = ("_of", "_reads", "_values", "since_s")

    def __init__(self, of: Callable[[Any], object], needs: Sequence[str]) -> None:
        self._of = of
        self._reads = {need: attrgetter(need) for need in needs}
        self._values: dict[str, object] = {}
        self.since_s: dict[str, float] = {}

    def look(self, now_s: float, facts: object) -> None:
        part, values = self._of(facts), self._values
        for need, read in self._reads.items():
            value = read(part)
            if need not in values or values[need] != value:
                values[need] = value
                self.since_s[need] = now_s


class TruthBook:
    """The fields of all systems.

    Args:
        systems: in their order.
    """

    def __init__(self, systems: Sequence[System[Any]]) -> None:
        self._parts = {
            (place, output): _Part(of, [need for rule in rules for need, _ in rule.needs])
            for place, system in enumerate(systems)
            for output, of, rules in _looked_at(system)
        }
        watched = dict.fromkeys([place for place, _ in self._parts])
        self._watched = [
            (systems[place], [part for (at, _), part in self._parts.items() if at == place])
            for place in watched
        ]
        self._facts: list[object] = [None] * len(self._watched)

    def look(self, now_s: float) -> None:
        """Note what has changed."""
        for at, (system, parts) in enumerate(self._watched):
            facts = system.facts
            if facts is not self._facts[at]:
                self._facts[at] = facts
                for part in parts:
                    part.look(now_s, facts)

    def since_s(self, place: int, output: str, need: str) -> float | None:
        """Since when a field is as it is, s.

        Args:
            place: of the system in the order.
            output: whose rules look at it.
            need: the field.
        """
        part = self._parts.get((place, output))
        return None if part is None else part.since_s.get(need)


def _looked_at(
    system: System[Any],
) -> Iterator[tuple[str, Callable[[Any], object], Sequence[Rule]]]:
    for lamp in system.lamps:
        yield lamp.name, lamp.of, lamp.rules
    for solenoid in system.solenoids:
        yield solenoid.name, _itself, solenoid.rules
    rules = [one.rule for one in system.horn]
    if rules and all(hasattr(system.facts, need) for rule in rules for need, _ in rule.needs):
        yield "horn", _itself, rules


def _itself(facts: object) -> object:
    return facts
