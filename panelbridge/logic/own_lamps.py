"""Lamps of a builder's own: each is lit by a condition on named signals, written in the file.

A lamp is lit only while its condition is known to hold: what is unknown lights nothing, whether the
condition asks for it or for its opposite.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from panelbridge.logic.aircraft_values import ValueSpec
from panelbridge.logic.bands import Bands, below
from panelbridge.logic.calm import Band
from panelbridge.logic.conditions import (
    SAME,
    Compare,
    Comparison,
    Condition,
    Truth,
    condition_from,
    leaves,
    truth_of,
)
from panelbridge.logic.own_lamp_parameters import OwnLampParameters
from panelbridge.logic.rule import Decision, Rule
from panelbridge.logic.signal_table import Shown, SignalSpec
from panelbridge.logic.switch_words import field_of
from panelbridge.signals import AircraftState, Reason, Value

READABLE_GROUPS = ("aircraft", "switch", "leg", "gear", "system")
"""What a lamp may depend on; not on other lamps or the horn, for these come after it."""


@dataclass(frozen=True, slots=True)
class Lit:
    """All that decides one lamp.

    Attributes:
        holds: its condition is known to hold.
    """

    holds: bool


class OwnLamps:
    """All lamps of a builder's own.

    Args:
        lamps: their parameters, by name.
        signals: every signal that the aircraft has.
        values: the aircraft's values among them.

    Raises:
        LogicError: a condition names no signal that there is.
    """

    def __init__(
        self,
        lamps: Mapping[str, OwnLampParameters],
        signals: Mapping[str, SignalSpec],
        values: Mapping[str, ValueSpec],
    ) -> None:
        self._specs = signals
        self._lamps = lamps
        self._conditions = {name: condition_from(lamp.lit_when) for name, lamp in lamps.items()}
        self._truths: dict[str, Truth] = {
            name: truth_of(condition, signals) for name, condition in self._conditions.items()
        }
        read = {leaf.signal for one in self._conditions.values() for leaf in leaves(one)}
        specs = [signals[name] for name in sorted(read)]
        self.switches = tuple([field_of(spec.name) for spec in specs if spec.group == "switch"])
        """Fields of ``SwitchState`` that a condition reads."""
        self.reads_changing = any(
            spec.form == "number" and spec.group in ("system", "leg") for spec in specs
        )
        """Whether a condition reads a number that a system changes by itself as time goes on."""
        self._rules = {
            name: Rule(lamp.label, (("holds", True),), "lights it, by the aircraft file")
            for name, lamp in lamps.items()
        }
        self._bands = _bands_of(self._conditions.values(), values)
        self._lit = dict.fromkeys(lamps, False)

    def between(self) -> Mapping[str, Band]:
        """For each number of the aircraft that is compared: where it changes no answer."""
        return {name: bands.between for name, (_, bands) in self._bands.items()}

    def take_aircraft(self, aircraft: AircraftState) -> bool:
        """Take the aircraft's values; True when a lamp may have to be looked at again."""
        changed = False
        for read, bands in self._bands.values():
            if bands.take(read(aircraft)):
                changed = True
        return changed

    def update(self, shown: Shown) -> None:
        """Decide every lamp anew."""
        for name, truth in self._truths.items():
            self._lit[name] = truth(shown) is True

    def lit(self) -> Mapping[str, bool]:
        """Whether each lamp is lit."""
        return self._lit

    def decisions(self, lamp: str, shown: Shown) -> Sequence[Decision]:
        """What decides a lamp; empty when it is none of these."""
        if lamp not in self._lamps:
            return ()
        told = tuple(
            dict.fromkeys(
                _told(leaf, self._specs, shown) for leaf in leaves(self._conditions[lamp])
            )
        )
        return (Decision((self._rules[lamp],), Lit(self._lit[lamp]), {"holds": told}),)


def _told(leaf: Compare, specs: Mapping[str, SignalSpec], shown: Shown) -> Reason:
    value = specs[leaf.signal].read(shown)
    asked = leaf.comparison.value.replace("_", " ")
    return Reason(
        f"{leaf.signal} {asked} {_words(leaf.value)}",
        truth_of(leaf, specs)(shown) is True,
        f"it is {_words(value)}",
    )


def _words(value: Value) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, (int, float)) else value


def _bands_of(
    conditions: Iterable[Condition], values: Mapping[str, ValueSpec]
) -> dict[str, tuple[Callable[[AircraftState], Any], Bands]]:
    """By name, for each number of the aircraft that is compared: how to read it, and its limits."""
    limits: dict[str, set[float]] = {}
    for condition in conditions:
        for leaf in leaves(condition):
            if leaf.signal not in values or values[leaf.signal].form != "number":
                continue
            here = limits.setdefault(leaf.signal, set())
            if isinstance(leaf.value, (int, float)):
                here |= _ends(leaf.comparison, float(leaf.value))
    return {name: (values[name].read, Bands(ends)) for name, ends in limits.items()}


def _ends(comparison: Comparison, value: float) -> set[float]:
    """Where the answer of a comparison turns round; a number at an end belongs below it."""
    low, high = below(value - SAME), value + SAME
    if comparison is Comparison.IS:
        return {low, high}
    return {high} if comparison in (Comparison.ABOVE, Comparison.AT_MOST) else {low}
