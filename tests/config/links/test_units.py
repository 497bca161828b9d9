"""Every unit against pint, and what cannot be converted."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from panelbridge.config.links.units import _FACTORS, UNITS, WrongUnit, factor_between

THEIR_NAMES = {
    "kt": "knot",
    "mph": "mile/hour",
    "nmi": "nautical_mile",
    "mi": "mile",
    "in": "inch",
    "turns": "turn",
    "psf": "pound_force/foot**2",
    "kgf/cm2": "kilogram_force/centimeter**2",
    "t": "metric_ton",
    "lb": "pound",
    "degrees/s": "degree/second",
    "rpm": "revolution/minute",
    "Hz": "revolution/second",
    "fraction": "dimensionless",
    "inHg": "inch_Hg",
    "psi": "pound_force/inch**2",
}
SI = {
    "speed": "m/s",
    "length": "m",
    "angle": "rad",
    "pressure": "Pa",
    "mass": "kg",
    "rotation": "rad/s",
    "fraction": "dimensionless",
}


@cache
def registry() -> Any:
    import pint

    return pint.UnitRegistry()


@pytest.mark.parametrize("name", UNITS)
def test_the_factor_is_that_of_an_independent_library(name: str) -> None:
    dimension = next(one for one, names in _FACTORS.items() if name in names)
    theirs = registry().Quantity(1.0, THEIR_NAMES.get(name, name)).to(SI[dimension]).magnitude
    within = 1e-5 if name == "inHg" else 1e-9
    assert _FACTORS[dimension][name] == pytest.approx(theirs, rel=within)


def test_about_thirty_units() -> None:
    assert 30 <= len(UNITS) <= 45


@pytest.mark.parametrize("names", _FACTORS.values())
def test_there_and_back(names: dict[str, float]) -> None:
    for one in names:
        for other in names:
            there, back = factor_between(one, other), factor_between(other, one)
            assert isinstance(there, float)
            assert isinstance(back, float)
            assert there * back == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("given", "wanted", "what", "hint"),
    [
        ("knots", "kt", "there is no unit 'knots'", "Did you mean 'kt'?"),
        ("PSI", "psi", "there is no unit 'PSI'", "Did you mean 'psi'?"),
        ("furlongs", "ft", "there is no unit 'furlongs'", ""),
        ("ft/s", "rpm", "a speed in 'ft/s' cannot be converted to 'rpm'", "radius of the tyre"),
        ("degrees", "kt", "an angle in 'degrees' cannot be converted to 'kt'", "Use 'scale'"),
        ("degrees", "", "an angle in 'degrees' cannot be converted to 'fraction'", "Use 'scale'"),
        ("degrees", "units", "'degrees' cannot be converted: the value counts units", "Leave"),
    ],
)
def test_what_cannot_be_converted(given: str, wanted: str, what: str, hint: str) -> None:
    wrong = factor_between(given, wanted)
    assert isinstance(wrong, WrongUnit)
    assert wrong.what == what
    assert hint in wrong.hint
    assert bool(wrong.hint) is bool(hint)


def test_a_value_without_a_table_keeps_its_own_unit() -> None:
    assert factor_between("units", "units") == 1.0
