"""Units by name, and the factor from one to another: exact by definition, unless a line says so.

The factors lead to the SI unit of a dimension. NIST SP 811, appendix B, has them; a test holds each
against an independent library.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi

from msgspec import Struct

_FT_M, _LB_KG, _G_M_S2 = 0.3048, 0.45359237, 9.80665
_IN_M, _NMI_M, _MI_M = _FT_M / 12, 1852.0, 1609.344
_PSI_PA = _LB_KG * _G_M_S2 / _IN_M**2
_FACTORS: Mapping[str, Mapping[str, float]] = {
    "speed": {
        "kt": _NMI_M / 3600,
        "m/s": 1.0,
        "km/h": 1 / 3.6,
        "mph": _MI_M / 3600,
        "ft/s": _FT_M,
        "ft/min": _FT_M / 60,
    },
    "length": {
        "ft": _FT_M,
        "m": 1.0,
        "km": 1000.0,
        "cm": 0.01,
        "mm": 0.001,
        "in": _IN_M,
        "nmi": _NMI_M,
        "mi": _MI_M,
    },
    "angle": {"degrees": pi / 180, "rad": 1.0, "turns": 2 * pi},
    "pressure": {
        "psi": _PSI_PA,
        "psf": _PSI_PA / 144,
        "Pa": 1.0,
        "hPa": 100.0,
        "kPa": 1000.0,
        "MPa": 1e6,
        "mbar": 100.0,
        "bar": 1e5,
        "inHg": 3386.389,  # conventional, at 0 degrees C
        "kgf/cm2": _G_M_S2 * 1e4,
    },
    "mass": {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": _LB_KG, "slug": _LB_KG * _G_M_S2 / _FT_M},
    "rotation": {"rpm": 2 * pi / 60, "rad/s": 1.0, "degrees/s": pi / 180, "Hz": 2 * pi},
    "fraction": {"fraction": 1.0, "percent": 0.01, "permille": 0.001},
}
_BY_NAME = {
    name: (dimension, factor)
    for dimension, names in _FACTORS.items()
    for name, factor in names.items()
}
UNITS = tuple(_BY_NAME)
"""Every unit's name."""
_OTHER_NAMES = {
    "knots": "kt",
    "knot": "kt",
    "kts": "kt",
    "kias": "kt",
    "fps": "ft/s",
    "fpm": "ft/min",
    "kmh": "km/h",
    "kph": "km/h",
    "mps": "m/s",
    "feet": "ft",
    "foot": "ft",
    "metres": "m",
    "meters": "m",
    "inches": "in",
    "nm": "nmi",
    "miles": "mi",
    "deg": "degrees",
    "radians": "rad",
    "lbf/in2": "psi",
    "inhg": "inHg",
    "pounds": "lb",
    "lbs": "lb",
    "tonnes": "t",
    "1/min": "rpm",
    "deg/s": "degrees/s",
    "%": "percent",
    "ratio": "fraction",
}
"""What people write instead; a hint only, so that a file has one name for a unit."""


class WrongUnit(Struct, frozen=True):
    """Why a unit cannot be converted.

    Attributes:
        what: what is wrong.
        hint: what to do.
        choices: names that could stand there instead.
    """

    what: str
    hint: str = ""
    choices: tuple[str, ...] = ()


def factor_between(given: str, wanted: str) -> float | WrongUnit:
    """What a number in ``given`` is multiplied by to be one in ``wanted``.

    Args:
        given: a unit's name, as in a feed file.
        wanted: the unit of a value; empty for a fraction.
    """
    wanted = wanted or "fraction"
    fitting = tuple(_FACTORS[_BY_NAME[wanted][0]]) if wanted in _BY_NAME else (wanted,)
    if given == wanted:
        return 1.0
    if given not in _BY_NAME:
        meant = _OTHER_NAMES.get(given.strip().casefold(), "")
        meant = meant or next((n for n in UNITS if n.casefold() == given.strip().casefold()), "")
        hint = f"Did you mean '{meant}'?" if meant else ""
        return WrongUnit(f"there is no unit '{given[:40]}'", hint, fitting)
    dimension, factor = _BY_NAME[given]
    if wanted not in _BY_NAME:
        hint = "Leave 'unit' out, and use 'scale' and 'offset' if the numbers differ"
        return WrongUnit(f"'{given}' cannot be converted: the value counts {wanted}", hint)
    needed, other = _BY_NAME[wanted]
    if dimension != needed:
        hint = "Use 'scale' instead, if one is a fixed multiple of the other"
        if dimension == "speed" and needed == "rotation":
            hint = "Use 'scale' instead of 'unit': 60 / (2 pi x radius of the tyre)"
        what = f"{_an(dimension)} in '{given}' cannot be converted to '{wanted}'"
        return WrongUnit(what, hint, fitting)
    return factor / other


def _an(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"
