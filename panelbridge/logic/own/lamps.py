"""Lamps of the builder's own: each is lit by a condition on named signals, written in the file.

A lamp is lit only while its condition is known to hold: what is unknown lights nothing, whether the
condition asks for it or for its opposite.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Any, Self

from panelbridge.logic.kit.condition_times import timed_in, turn_s
from panelbridge.logic.kit.conditions import (
    SAME,
    Compare,
    Comparison,
    Condition,
    Truth,
    condition_from,
    leaves,
    negated,
    truth_of,
)
from panelbridge.logic.kit.declarations import Group, Lamp, Misfit, Signal
from panelbridge.logic.kit.handles import Handle, Threshold, below
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.own.parameters import LAMP_NAME, OwnLampParameters
from panelbridge.logic.vocabulary import readable_signals_of
from panelbridge.signals import Reason, Value


@dataclass(frozen=True, slots=True)
class OwnLampFacts:
    """One lamp.

    Attributes:
        holds: its condition is known to hold.
    """

    holds: bool = False


@dataclass(frozen=True, slots=True)
class OwnLampsFacts(Facts):
    """All lamps of the builder's own, in the order of the file."""

    lamps: tuple[OwnLampFacts, ...] = ()


class OwnLamps(System[OwnLampsFacts]):
    """All lamps of the builder's own.

    Args:
        lamps: their parameters, by name.
        conditions: what lights each, in the same order.
        signals: those that the conditions name: of the systems before it, the panel, the aircraft.

    Raises:
        LogicError: a condition names a signal that does not exist.
    """

    groups = (
        Group(
            "own_lamps",
            dict[str, OwnLampParameters],
            "Lamps of your own, each lit by a condition; under a name that ends in its colour:"
            " flaps_moving_amber.",
            {},
        ),
    )

    def __init__(
        self,
        lamps: Mapping[str, OwnLampParameters],
        conditions: Sequence[Condition],
        signals: Mapping[str, Signal],
    ) -> None:
        super().__init__()
        self._signals = signals
        self._leaves: dict[str, tuple[Compare, ...]] = {}
        self._truths: list[Truth] = []
        self._thresholds: dict[tuple[Handle[float], float], Threshold] = {}
        for name, condition in zip(lamps, conditions, strict=True):
            self._truths.append(truth_of(condition, signals, self._by_threshold))
            self._leaves[name] = tuple(leaves(condition))
        self.readings = tuple(self._thresholds.values())
        self._timed = [one for condition in conditions for one in timed_in(condition, signals)]
        self.lamps = tuple(
            [
                Lamp(
                    name,
                    lamp.label,
                    (Rule(lamp.label, (("holds", True),), "lights it, by the aircraft file"),),
                    of=_part(number),
                )
                for number, (name, lamp) in enumerate(lamps.items())
            ]
        )
        self.facts = OwnLampsFacts((OwnLampFacts(),) * len(lamps))

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft file without such lamps."""
        lamps = build.aircraft.own_lamps
        if not lamps:
            return None
        conditions = [condition_from(lamp.lit_when) for lamp in lamps.values()]
        names = {
            name for condition in conditions for leaf in leaves(condition) for name in leaf.signals
        }
        return cls(lamps, conditions, readable_signals_of(names, build.aircraft, build.earlier))

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Names that do not end in a colour."""
        for name in aircraft.own_lamps:
            if not re.fullmatch(LAMP_NAME, name):
                what = f"a lamp cannot be named '{name}': its name must end in its colour"
                hint = f"Small letters, digits and underscores: {_with_colour(name)}"
                yield Misfit(("own_lamps", name), what, hint, is_key=True)

    def update(self, now_s: float, world: World) -> OwnLampsFacts:
        """Judge every condition; look again when a number that changes by itself turns one."""
        self.due_s = min([turn_s(world, *one) for one in self._timed], default=inf)
        return OwnLampsFacts(tuple([OwnLampFacts(truth(world) is True) for truth in self._truths]))

    def words_of(self, lamp: Lamp, world: World) -> Words:
        """What its condition compares."""
        found = [_reason(leaf, self._signals, world) for leaf in self._leaves[lamp.name]]
        return {"holds": tuple(dict.fromkeys(found))}

    def _by_threshold(self, compare: Compare, signal: Signal) -> Truth | None:
        """A number of one cell is read through thresholds: it wakes the lamps at its limit only."""
        cell, value = signal.cell, compare.value
        if cell is None:
            return None
        if value is None:
            known = self._threshold(cell, inf)
            return lambda world: world[known] is None
        limit = float(value)
        low, high = below(limit - SAME), limit + SAME
        at_least, above = self._threshold(cell, low), self._threshold(cell, high)
        truths: Mapping[Comparison, Truth] = {
            Comparison.IS: lambda world: _between(world[at_least], world[above]),
            Comparison.ABOVE: lambda world: world[above],
            Comparison.AT_MOST: lambda world: negated(world[above]),
            Comparison.AT_LEAST: lambda world: world[at_least],
            Comparison.BELOW: lambda world: negated(world[at_least]),
        }
        return truths[compare.comparison]

    def _threshold(self, cell: Handle[float], limit: float) -> Threshold:
        return self._thresholds.setdefault((cell, limit), Threshold(cell, limit))


def _part(number: int) -> Callable[[Any], object]:
    return lambda facts: facts.lamps[number]


def _between(at_least: bool | None, above: bool | None) -> bool | None:
    return None if at_least is None else at_least and not above


def _with_colour(name: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_0123456789")[:24]
    return f"{plain or 'lamp'}_amber"


def _reason(leaf: Compare, signals: Mapping[str, Signal], world: World) -> Reason:
    asked = leaf.comparison.value.replace("_", " ")
    found = [_word(signals[name].read(world)) for name in leaf.signals]
    return Reason(
        f"{leaf.signal} {asked} {leaf.other or _word(leaf.value)}",
        truth_of(leaf, signals)(world) is True,
        f"it is {', and that '.join(found)}",
    )


def _word(value: Value) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, (int, float)) else value
