"""Rules as data: what decides an output also explains it.

A rule names fields of frozen facts and how each must be. The rule and the facts that decided are
asked for the reasons, so that an explanation cannot drift from the behaviour; nothing is made
before it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import attrgetter

from msgspec import Struct

from panelbridge.signals import Reason

Words = Mapping[str, Sequence[Reason]]
"""For each field of the facts: the named conditions that it follows from."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule; it holds while every field is as it must be.

    Attributes:
        name: in words.
        needs: names of yes-or-no fields of the facts, and how each must be.
        effect: what it does while it holds, and where it comes from, in words.
    """

    name: str
    needs: tuple[tuple[str, bool], ...]
    effect: str = ""
    _read: Callable[[object], object] = field(init=False, repr=False, compare=False)
    _wanted: object = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # One call reads all fields, for lamps are decided in every step that changes something.
        names, wanted = zip(*self.needs, strict=True)
        object.__setattr__(self, "_read", attrgetter(*names))
        object.__setattr__(self, "_wanted", wanted if len(wanted) > 1 else wanted[0])

    def lacks(self, conditions: object) -> tuple[str, ...]:
        """The fields that are not as they must be."""
        return tuple([n for n, wanted in self.needs if attrgetter(n)(conditions) != wanted])

    def holds(self, conditions: object) -> bool:
        """Whether it holds for these facts."""
        return self._read(conditions) == self._wanted


class Decision(Struct, frozen=True):
    """Rules, any of which puts an output on, and what they looked at.

    Attributes:
        rules: the rules.
        conditions: the facts of all of them.
        words: their fields in words.
        ways: how a field would become the other, in more detail than its words: ways, each with
            what must change together; None = no more is known.
    """

    rules: Sequence[Rule]
    conditions: object
    words: Words
    ways: Callable[[str], Sequence[Sequence[str]]] | None = None


def reasons_of(decisions: Sequence[Decision]) -> tuple[Reason, ...]:
    """The reasons of one output: first every rule (``rule: ...``), then what these looked at.

    The output is on when a rule holds. Then such a rule and what it asks for *decide*. Else the
    rules decide that lack least of what they ask for, and what they lack; where nothing holds of
    any rule, those of the first system.
    """
    every = [(decision, rule) for decision in decisions for rule in decision.rules]
    lacks = [rule.lacks(decision.conditions) for decision, rule in every]
    ranks = [
        (len(lack) == len(rule.needs), len(lack))
        for lack, (_, rule) in zip(lacks, every, strict=True)
    ]
    least = min(ranks, default=(False, 0))
    nearest = every[ranks.index(least)][0] if every else None
    rules, looked_at = [], dict[Reason, bool]()
    for (decision, rule), lack, rank in zip(every, lacks, ranks, strict=True):
        decides = rank == least and (not rank[0] or decision is nearest)
        rules.append(Reason(f"rule: {rule.name}", not lack, rule.effect, decides))
        for need, _ in rule.needs:
            counts = decides and (not lack or need in lack)
            for reason in decision.words[need]:
                looked_at[reason] = looked_at.get(reason, False) or counts
    return (*rules, *[replace(reason, decides=counts) for reason, counts in looked_at.items()])


def against(value: float, limit: float) -> str:
    """A value held against its limit: ``0.10 <= 0.32``; with more digits where two hide it.

    Args:
        value: the value.
        limit: its limit.
    """
    sign = "<=" if value <= limit else ">"
    left, right = f"{value:.2f}", f"{limit:.2f}"
    if left == right and value != limit:
        left, right = repr(value), repr(limit)
    return f"{left} {sign} {right}"
