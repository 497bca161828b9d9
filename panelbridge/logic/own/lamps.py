"""Lamps of the builder's own: each is lit by a condition on named signals, written in the file.

A lamp is lit only while its condition is known to hold: what is unknown lights nothing, whether the
condition asks for it or for its opposite.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Self

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.kit.declarations import Group, Lamp, Misfit
from panelbridge.logic.kit.rule import Decision, Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.own.judged import Judged
from panelbridge.logic.own.parameters import LAMP_NAME, OwnLampParameters


class OwnLampFacts(Struct, frozen=True):
    """One lamp.

    Attributes:
        holds: its condition is known to hold.
    """

    holds: bool = False


class OwnLampsFacts(Facts, frozen=True):
    """All lamps of the builder's own, in the order of the file."""

    lamps: tuple[OwnLampFacts, ...] = ()


class OwnLamps(System[OwnLampsFacts]):
    """All lamps of the builder's own.

    Args:
        lamps: their parameters, by name.
        judged: what lights each, in the same order.
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

    def __init__(self, lamps: Mapping[str, OwnLampParameters], judged: Judged) -> None:
        super().__init__()
        self._judged, self._places = judged, {name: place for place, name in enumerate(lamps)}
        self.readings = judged.readings
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
        """None for an aircraft file without such lamps. Raises: LogicError, as ``Judged``."""
        lamps = build.aircraft.own_lamps
        if not lamps:
            return None
        return cls(lamps, Judged.of([lamp.lit_when for lamp in lamps.values()], build))

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
        self.due_s = self._judged.turn_s(world)
        return OwnLampsFacts(tuple([OwnLampFacts(one) for one in self._judged.hold(world)]))

    def decisions(self, output: str, world: World) -> Sequence[Decision]:
        """What decides one of them, with what would turn it."""
        found = super().decisions(output, world)
        place = self._places.get(output)
        if place is None:
            return found
        return [replace(one, ways=lambda _: self._judged.ways(place, world)) for one in found]

    def words_of(self, lamp: Lamp, world: World) -> Words:
        """What its condition compares."""
        return {"holds": self._judged.reasons(self._places[lamp.name], world)}


def _part(number: int) -> Callable[[Any], object]:
    return lambda facts: facts.lamps[number]


def _with_colour(name: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_0123456789")[:24]
    return f"{plain or 'lamp'}_amber"
