"""What lies over the lamps, its switches, and what the panel shows in the end."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from panelbridge.logic.kit.handles import Button, Lever, Switch, Toggle
from panelbridge.logic.kit.world import Facts
from panelbridge.signals import Commands, Outputs

LAMP_TEST = Button(
    "lamp_test", "lamp test", "Held: lights every lamp and sounds the horn.", required=True
)
WARNING_TEST = Button(
    "warning_test",
    "warning test",
    "Held: tests the gear warning, horn and red lamps. A switch with three places, test, off and"
    " silence, is two contacts: this one and horn_silence. Left at silence, it silences once.",
)
DIMMER = Lever(
    "dimmer",
    "dimmer",
    "Knob for the brightness of all lamps.",
    rest=1.0,
    ends="0 lowest to 1 brightest",
    stays=True,
)
NIGHT = Toggle("night", "night lighting", "Closed: the lamps go to their night levels.")
OVER_LAMPS: tuple[Switch[Any], ...] = (LAMP_TEST, WARNING_TEST, DIMMER, NIGHT)
"""The switches over the lamps; lamps of the builder's own may read them too."""


class LampFacts(Facts, frozen=True):
    """All that lies over what the systems light.

    Attributes:
        dimmer_fraction: the knob, 0 to 1; None (unknown) is full brightness.
        night: the night switch is on; unknown is day.
        lamp_test: the lamp test is held: it lights all of them, fully.
        warning_test: the gear warning test is held: it lights those of the gear.
        test_silenced: the horn of the gear warning test was silenced, until that test ends.
        lamp_test_sounds: the lamp test sounds the horn too.
        powered: there is electrical power.
    """

    dimmer_fraction: float | None = None
    night: bool = False
    lamp_test: bool = False
    warning_test: bool = False
    test_silenced: bool = False
    lamp_test_sounds: bool = True
    powered: bool = True


class ShownFacts(Facts, frozen=True):
    """What the panel shows; no system reads it.

    Attributes:
        outputs: what the logic shows.
        commands: what it asks of the simulator.
        failures: what is broken, a sentence each.
        lamps: brightness as the lamps really shine; None = as in ``outputs``.
    """

    outputs: Outputs = Outputs()
    commands: Commands = Commands()
    failures: tuple[str, ...] = ()
    lamps: Mapping[str, int] | None = None

    def brightness(self, lamp: str) -> int:
        """How bright a lamp is, 0 (dark) to 255."""
        return (self.outputs.lamps if self.lamps is None else self.lamps).get(lamp, 0)
