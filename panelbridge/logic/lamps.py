"""From what is lit to how bright: dimmer, floor, night, flashing, tests and electrical power.

A dimmer never puts a warning out: lit red and amber lamps keep a floor above zero, at night too (14
CFR 23.1322, Amdt 23-43: effective under all probable cockpit lighting). The tests only lay
themselves over the lamps; letting go gives back exactly what was (checked after an Army operator's
manual, TM 55-1510-221-10, annunciator test). Without electrical power every lamp is dark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule

FULL = 255
"""Brightness of a lamp without a dimmer, and in the lamp test."""
NONE: frozenset[str] = frozenset()


class LampParameters(Parameters):
    """Brightness, flashing and tests of the lamps."""

    warning_floor_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.25
    """A lit red or amber lamp is never dimmed below this, fraction of full brightness."""
    other_floor_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.08
    """Any other lit lamp is never dimmed below this, fraction of full brightness."""
    night_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.5
    """Brightest that a lit lamp gets with the night switch on, fraction of full brightness."""
    flashing: list[str] = Field(default_factory=list)
    """Lamps that flash while they are lit, by name; all of them in one phase."""
    flash_hz: Annotated[float, Field(ge=1.0, le=5.0)] = 3.0
    """Flashes in a second, half of the time lit. 3 keeps to MIL-STD-1472 (3 to 5, from memory) and
    to WCAG 2 success criterion 2.3.1 (no more than 3 in a second) at once."""
    lamp_test_sounds_horn: bool = True
    """The lamp test sounds the horn too."""
    warning_test_lights: Literal["gear_lamps", "red_lamps"] = "gear_lamps"
    """The gear warning test lights every lamp of the gear, or only its red ones."""


@dataclass(frozen=True, slots=True)
class Look:
    """How the lamps are to look: all that lies over what the systems light.

    Attributes:
        dimmer_fraction: the knob, 0 to 1; None (unknown) is full brightness.
        night: the night switch is on; unknown is day.
        lamp_test: lights all of them, fully.
        warning_test: lights those of the gear.
        powered: there is electrical power.
        flash_on: flashing lamps are in the lit half of their flash.
    """

    dimmer_fraction: float | None = None
    night: bool = False
    lamp_test: bool = False
    warning_test: bool = False
    powered: bool = True
    flash_on: bool = True


@dataclass(frozen=True, slots=True)
class Tests:
    """All that decides what the tests lay over lamps and horn.

    Attributes:
        lamp_test: the lamp test is held.
        warning_test: the gear warning test is held.
        lamp_test_sounds: the lamp test sounds the horn too.
    """

    lamp_test: bool
    warning_test: bool
    lamp_test_sounds: bool = True


LAMP_TEST = Rule("lamp test", (("lamp_test", True),), "lights every lamp fully")
WARNING_TEST = Rule("gear warning test", (("warning_test", True),), "lights the gear's lamps")
HORN_TESTS = (
    Rule("lamp test", (("lamp_test", True), ("lamp_test_sounds", True)), "sounds the horn"),
    Rule("gear warning test", (("warning_test", True),), "sounds the horn"),
)


def tests_of(name: str, warning_tested: frozenset[str]) -> tuple[Rule, ...]:
    """The tests that light the lamp ``name``.

    Args:
        name: of the lamp.
        warning_tested: the lamps that the gear warning test lights.
    """
    return (LAMP_TEST, WARNING_TEST) if name in warning_tested else (LAMP_TEST,)


def brightness(
    dimmer_fraction: float | None, floor_fraction: float, top_fraction: float = 1.0
) -> int:
    """Brightness of a lit lamp, 1 to 255.

    Args:
        dimmer_fraction: the knob, 0 to 1; None (unknown) is as bright as can be.
        floor_fraction: lowest brightness, fraction of full; it outweighs the top.
        top_fraction: highest brightness, fraction of full.
    """
    unknown = dimmer_fraction is None or isnan(dimmer_fraction)
    knob = 1.0 if unknown else min(max(dimmer_fraction or 0.0, 0.0), 1.0)
    span = max(top_fraction - floor_fraction, 0.0)
    return max(1, round(FULL * (floor_fraction + span * knob)))


def is_warning_lamp(name: str) -> bool:
    """Whether the lamp is red or amber by its name, so that the higher floor holds."""
    return name.endswith(("_red", "_amber"))


def shine(
    lit: Mapping[str, bool],
    parameters: LampParameters,
    look: Look,
    *,
    warning_tested: frozenset[str] = NONE,
) -> Mapping[str, int]:
    """Brightness of every lamp.

    Args:
        lit: whether the systems light each lamp.
        parameters: floors, night level, which lamps flash.
        look: what lies over that.
        warning_tested: the lamps that the gear warning test lights.
    """
    if not look.powered:
        return MappingProxyType(dict.fromkeys(lit, 0))
    if look.lamp_test:
        return MappingProxyType(dict.fromkeys(lit, FULL))
    top = parameters.night_fraction if look.night else 1.0
    high = brightness(look.dimmer_fraction, parameters.warning_floor_fraction, top)
    low = brightness(look.dimmer_fraction, parameters.other_floor_fraction, top)
    tested = warning_tested if look.warning_test else NONE
    flashed_out = NONE if look.flash_on else frozenset(parameters.flashing)
    return MappingProxyType(
        {
            name: (high if is_warning_lamp(name) else low)
            if name in tested or (on and name not in flashed_out)
            else 0
            for name, on in lit.items()
        }
    )
