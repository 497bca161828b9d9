"""Horn rules of the builder's own: each sounds the horn by a condition on named signals.

The rules of the systems stay as they are beside them; each of these can be switched off in its own
group, so that a rule of the builder's own can stand in its place. A rule sounds only while its
condition is known to hold.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Self

from msgspec import Struct

from panelbridge.logic.kit.declarations import Group, HornRule, loudest
from panelbridge.logic.kit.rule import Decision, Rule
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.own.judged import Judged
from panelbridge.logic.own.parameters import OwnHornParameters
from panelbridge.signals import HornPattern, Level


class OwnHornRuleFacts(Struct, frozen=True):
    """One rule.

    Attributes:
        holds: its condition is known to hold.
    """

    holds: bool = False


class OwnHornFacts(Facts, frozen=True):
    """All horn rules of the builder's own, in the order of the file."""

    rules: tuple[OwnHornRuleFacts, ...] = ()


class OwnHorn(System[OwnHornFacts]):
    """All horn rules of the builder's own.

    Args:
        rules: their parameters, by name.
        judged: what sounds each, in the same order.
    """

    groups = (
        Group(
            "own_horn",
            dict[str, OwnHornParameters],
            "Horn rules of your own, each under a name of yours, beside those of the systems.",
            {},
        ),
    )
    events = {
        "own_horn_sounded": (Level.WARNING, "the horn sounds: {cause}"),
        "own_horn_stopped": (Level.INFO, "the horn stopped: {cause}"),
    }

    def __init__(self, rules: Mapping[str, OwnHornParameters], judged: Judged) -> None:
        super().__init__()
        self._judged, self.readings = judged, judged.readings
        self.horn = tuple(
            [
                HornRule(
                    Rule(one.label, (("holds", True),), "sounds the horn, by the aircraft file"),
                    HornPattern(one.pattern),
                )
                for one in rules.values()
            ]
        )
        self.facts = OwnHornFacts((OwnHornRuleFacts(),) * len(rules))

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft file without such rules. Raises: LogicError, as ``Judged``."""
        rules = build.aircraft.own_horn
        if not rules:
            return None
        return cls(rules, Judged.of([rule.sounds_when for rule in rules.values()], build))

    def update(self, now_s: float, world: World) -> OwnHornFacts:
        """Judge every condition; look again when a number that changes by itself turns one."""
        self.due_s = self._judged.turn_s(world)
        facts = OwnHornFacts(tuple([OwnHornRuleFacts(one) for one in self._judged.hold(world)]))
        for one, before, now in zip(self.horn, self.facts.rules, facts.rules, strict=True):
            if now.holds is not before.holds:
                cause = one.rule.name
                self.note(
                    now_s, "own_horn_sounded" if now.holds else "own_horn_stopped", cause=cause
                )
        return facts

    def sounds(self) -> HornPattern:
        """The loudest rule that holds."""
        pairs = zip(self.horn, self.facts.rules, strict=True)
        return loudest([one.pattern for one, rule in pairs if rule.holds])

    def sounding(self) -> tuple[str, ...]:
        """The labels of the rules that hold."""
        pairs = zip(self.horn, self.facts.rules, strict=True)
        return tuple([one.rule.name for one, rule in pairs if rule.holds])

    def decisions(self, output: str, world: World) -> Sequence[Decision]:
        """Each rule of the horn with what its condition compares."""
        if output != "horn":
            return ()
        pairs = zip(self.horn, world[OwnHornFacts].rules, strict=True)
        return [
            Decision(
                (one.rule,),
                facts,
                {"holds": self._judged.reasons(place, world)},
                partial(self._ways, place, world),
            )
            for place, (one, facts) in enumerate(pairs)
        ]

    def _ways(self, place: int, world: World, _: str) -> list[tuple[str, ...]]:
        return self._judged.ways(place, world)
