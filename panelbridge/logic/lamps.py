"""From what is lit to how bright: dimmer, floor and lamp test.

A dimmer never puts a warning out: lit red and amber lamps keep a floor above zero (14 CFR 23.1322,
Amdt 23-43: effective under all probable cockpit lighting). The tests only lay themselves over the
lamps; letting go gives back exactly what was (checked after an Army operator's manual, TM
55-1510-221-10, annunciator test).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated

from pydantic import Field

from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule

FULL = 255
"""Brightness of a lamp without a dimmer, and in the lamp test."""


class LampParameters(Parameters):
    """Brightness and tests of the lamps."""

    warning_floor_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.25
    """A lit red or amber lamp is never dimmed below this, fraction of full brightness."""
    other_floor_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.08
    """Any other lit lamp is never dimmed below this, fraction of full brightness."""
    lamp_test_sounds_horn: bool = True
    """The lamp test sounds the horn too."""


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
WARNING_TEST = Rule("gear warning test", (("warning_test", True),), "lights the red lamps")
HORN_TESTS = (
    Rule("lamp test", (("lamp_test", True), ("lamp_test_sounds", True)), "sounds the horn"),
    Rule("gear warning test", (("warning_test", True),), "sounds the horn"),
)


def tests_of(name: str) -> tuple[Rule, ...]:
    """The tests that light the lamp ``name``."""
    return (LAMP_TEST, WARNING_TEST) if name.endswith("_red") else (LAMP_TEST,)


def brightness(dimmer_fraction: float | None, floor_fraction: float) -> int:
    """Brightness of a lit lamp, 1 to 255.

    Args:
        dimmer_fraction: the knob, 0 to 1; None (unknown) is full brightness.
        floor_fraction: lowest brightness, fraction of full.
    """
    if dimmer_fraction is None:
        return FULL
    knob = min(max(dimmer_fraction, 0.0), 1.0)
    return max(1, round(FULL * (floor_fraction + (1.0 - floor_fraction) * knob)))


def is_warning_lamp(name: str) -> bool:
    """Whether the lamp is red or amber by its name, so that the higher floor holds."""
    return name.endswith(("_red", "_amber"))


def shine(
    lit: Mapping[str, bool],
    parameters: LampParameters,
    *,
    dimmer_fraction: float | None,
    lamp_test: bool,
    warning_test: bool,
) -> Mapping[str, int]:
    """Brightness of every lamp.

    Args:
        lit: whether the systems light each lamp.
        parameters: floors.
        dimmer_fraction: the knob; None is unknown.
        lamp_test: lights all of them, fully.
        warning_test: lights the red ones.
    """
    tests = Tests(lamp_test, warning_test)
    if LAMP_TEST.holds(tests):
        return MappingProxyType(dict.fromkeys(lit, FULL))
    high = brightness(dimmer_fraction, parameters.warning_floor_fraction)
    low = brightness(dimmer_fraction, parameters.other_floor_fraction)
    tested = WARNING_TEST.holds(tests)
    return MappingProxyType(
        {
            name: (high if is_warning_lamp(name) else low)
            if on or (tested and WARNING_TEST in tests_of(name))
            else 0
            for name, on in lit.items()
        }
    )
