"""What every optional system offers to the composition: lamps, horn, values, faults, reasons.

A system's lamps are decided by rules over one frozen object of conditions, which is also what
explains them. It publishes named values (a pressure, a state), which screens, scenarios and a
builder's own lamps read by name; nobody looks into it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from types import MappingProxyType
from typing import ClassVar, Literal

from panelbridge.errors import LogicError
from panelbridge.logic.rule import Decision, Rule, Told
from panelbridge.signals import HornPattern, Value

NO_RULES: Mapping[str, tuple[Rule, ...]] = MappingProxyType({})
NO_FAULTS: Mapping[str, tuple[str, ...]] = MappingProxyType({})
_LOUDNESS = (HornPattern.SILENT, HornPattern.INTERMITTENT, HornPattern.CONTINUOUS)


@dataclass(frozen=True, slots=True)
class ValueInfo:
    """A named value that a system publishes.

    Attributes:
        name: snake case, with its unit where it has one: ``reservoir_l``.
        form: a number, one of ``words``, or yes/no.
        label: words for people, without the unit.
        unit: of a number; empty for a fraction, a word or yes/no.
        words: what a word can be.
        low: least number that it can be.
        high: greatest number that it can be.
    """

    name: str
    form: Literal["number", "word", "yes_no"]
    label: str
    unit: str = ""
    words: tuple[str, ...] = ()
    low: float = -inf
    high: float = inf


def loudest(patterns: Iterable[HornPattern]) -> HornPattern:
    """The pattern that outweighs the others; silent when there are none."""
    return max(patterns, key=_LOUDNESS.index, default=HornPattern.SILENT)


class System:
    """Base of the optional systems.

    A subclass keeps ``conditions`` up to date (a new frozen object at each ``update``) and says in
    ``told`` what its fields are made of. Everything here is cheap, or made only when asked for.
    """

    lamp_rules: Mapping[str, tuple[Rule, ...]] = NO_RULES
    """For each of its lamps the rules, any of which lights it."""
    horn_rules: tuple[tuple[Rule, HornPattern], ...] = ()
    """Rules that sound the horn, and how; over the same conditions."""
    fault_kinds: Mapping[str, tuple[str, ...]] = NO_FAULTS
    """What can be broken on the bench, by name, and how: ``{"aux_pump": ("failed",)}``."""
    published: tuple[ValueInfo, ...] = ()
    """The values that ``values`` gives."""
    conditions: object = None
    """All that decided the lamps and the horn last."""
    timer_prefix: ClassVar[str] = ""
    """Its timers are tuples that begin with this word: ``("hydraulics", "cut_in")``."""
    drift_timers: ClassVar[tuple[Hashable, ...]] = ()
    """While one of these timers runs, values of it change by themselves."""

    def lit(self) -> Mapping[str, bool]:
        """Whether it lights each of its lamps, without tests and dimmer."""
        conditions = self.conditions
        return {
            lamp: any(rule.holds(conditions) for rule in rules)
            for lamp, rules in self.lamp_rules.items()
        }

    def decisions(self, output: str) -> Sequence[Decision]:
        """What decides one of its lamps, or its share of the ``horn``; empty when nothing does."""
        if output == "horn":
            rules: tuple[Rule, ...] = tuple(rule for rule, _ in self.horn_rules)
        else:
            rules = self.lamp_rules.get(output, ())
        return (Decision(rules, self.conditions, self.told()),) if rules else ()

    def told(self) -> Told:
        """Each field of ``conditions`` in words, with values and limits."""
        return {}

    def horn(self) -> HornPattern:
        """How the horn has to sound for this system."""
        return loudest(pattern for rule, pattern in self.horn_rules if rule.holds(self.conditions))

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What it publishes, at ``now_s`` (never less than in its last update)."""
        return {}

    def faults(self) -> tuple[str, ...]:
        """What it sees to be broken, a sentence each."""
        return ()

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """One of its timers came due: act. The composition updates every system afterwards."""

    def set_fault(self, now_s: float, target: str, kind: str | None) -> None:
        """Break ``target`` on the bench, or mend it with None.

        Raises:
            LogicError: it has no such part, or that cannot be broken so.
        """
        kinds = self.fault_kinds.get(target)
        if kinds is None or (kind is not None and kind not in kinds):
            raise LogicError(f"'{target}' cannot be '{kind}' here")
        self.break_part(now_s, target, kind)

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """What ``set_fault`` does once names are checked."""
