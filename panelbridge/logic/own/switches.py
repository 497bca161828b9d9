"""Switches of the builder's own: read like any other, and passed on to the simulator.

A position that is unknown is not passed on: lost data commands nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any, Self

from panelbridge.logic.kit.declarations import CommandSignal, Group, Misfit
from panelbridge.logic.kit.handles import Button, Lever, OneContact, Switch, SwitchWords, Toggle
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.own.parameters import OWN_NAME, OwnSwitchParameters
from panelbridge.signals import Value


class OwnSwitchesFacts(Facts, frozen=True):
    """Where the switches stand.

    Attributes:
        positions: name and position of each that is known, in the order of the file.
    """

    positions: tuple[tuple[str, Value], ...] = ()


@cache
def own_switch(
    name: str, label: str, kind: str, free: str = "off", operated: str = "on"
) -> Switch[Any]:
    """The one handle of a switch: two logics of one aircraft share their cells' keys."""
    if kind == "lever":
        return Lever(name, label)
    if kind == "button":
        return Button(name, label)
    made = Toggle(name, label)
    made.words = SwitchWords(free, operated)
    return made


class OwnSwitches(System[OwnSwitchesFacts]):
    """All switches of the builder's own.

    Args:
        switches: their handles, in the order of the file.
    """

    groups = (
        Group(
            "own_switches",
            dict[str, OwnSwitchParameters],
            "Switches of your own, each under a name of yours: conditions name them as they name"
            " any other switch, and their positions go to the simulator.",
            {},
        ),
    )
    commands = (
        CommandSignal(
            "own_switches",
            "positions of the builder's own switches",
            lambda world: world[OwnSwitchesFacts].positions,
        ),
    )

    def __init__(self, switches: tuple[Switch[Any], ...]) -> None:
        super().__init__()
        self.switches = switches
        self.facts = OwnSwitchesFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft file without such switches."""
        found = [
            own_switch(
                *(name, one.label, one.kind),
                *(one.free_word or "off", one.operated_word or "on"),
            )
            for name, one in build.aircraft.own_switches.items()
        ]
        return cls(tuple(found)) if found else None

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Names that cannot be one."""
        for name in aircraft.own_switches:
            if not re.fullmatch(OWN_NAME, name):
                what = f"a switch cannot be named '{name}'"
                hint = "Use small letters, digits and underscores, with a letter first"
                yield Misfit(("own_switches", name), what, hint, is_key=True)

    def update(self, now_s: float, world: World) -> OwnSwitchesFacts:
        """Take every position."""
        positions = [(one.name, position_of(one, world)) for one in self.switches]
        return OwnSwitchesFacts(tuple([one for one in positions if one[1] is not None]))


def position_of(switch: Switch[Any], world: World) -> Value:
    """A position in the words of files: a word, or a lever's number; None is unknown."""
    at = world[switch.reported]  # what is lost is not sent: the simulator keeps what it has
    if at is None or isinstance(switch, Lever):
        return None if at is None else float(at)
    assert isinstance(switch, OneContact)
    return switch.words.operated if at else switch.words.free
