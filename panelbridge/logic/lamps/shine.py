"""From what is lit to how bright: dimmer, floors, night, flash, tests and electrical power.

A dimmer never puts a warning out: lit red and amber lamps keep a floor above zero, at night too (14
CFR 23.1322, Amdt 23-43: effective under all probable cockpit lighting). The tests only lie over the
lamps; releasing them gives back exactly what was (checked after an Army operator's manual,
TM 55-1510-221-10, annunciator test). Without electrical power every lamp is dark.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.logic.lamps.parameters import LampParameters

FULL = 255
"""Brightness of a lamp without a dimmer, and in the lamp test."""
NONE: frozenset[str] = frozenset()


def brightness(
    dimmer_fraction: float | None, floor_fraction: float, top_fraction: float = 1.0
) -> int:
    """Brightness of a lit lamp, 1 to 255.

    Args:
        dimmer_fraction: the knob, 0 to 1; None (unknown) is as bright as can be.
        floor_fraction: lowest brightness, fraction of full; it outweighs the top.
        top_fraction: highest brightness, fraction of full.
    """
    knob = 1.0 if dimmer_fraction is None else min(max(dimmer_fraction, 0.0), 1.0)
    span = max(top_fraction - floor_fraction, 0.0)
    return max(1, round(FULL * (floor_fraction + span * knob)))


def is_warning_lamp(name: str) -> bool:
    """Whether the lamp is red or amber by its name, so that the higher floor holds."""
    return name.endswith(("_red", "_amber"))


def shine(
    lit: Mapping[str, bool],
    parameters: LampParameters,
    over: LampFacts,
    *,
    flash_on: bool = True,
    warning_tested: frozenset[str] = NONE,
) -> Mapping[str, int]:
    """Brightness of every lamp.

    Args:
        lit: whether the systems light each lamp.
        parameters: floors, night level, which lamps flash.
        over: what lies over that.
        flash_on: flashing lamps are in the lit half of their flash.
        warning_tested: the lamps that the gear warning test lights.
    """
    if not over.powered:
        return MappingProxyType(dict.fromkeys(lit, 0))
    if over.lamp_test:
        return MappingProxyType(dict.fromkeys(lit, FULL))
    top = parameters.night_fraction if over.night else 1.0
    high = brightness(over.dimmer_fraction, parameters.warning_floor_fraction, top)
    low = brightness(over.dimmer_fraction, parameters.other_floor_fraction, top)
    tested = warning_tested if over.warning_test else NONE
    flashed_out = NONE if flash_on else frozenset(parameters.flashing)
    return MappingProxyType(
        {
            name: (high if is_warning_lamp(name) else low)
            if name in tested or (on and name not in flashed_out)
            else 0
            for name, on in lit.items()
        }
    )
