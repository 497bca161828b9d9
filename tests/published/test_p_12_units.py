"""Standards P-12: exact factors of units (NIST SP 811, appendix B) and worked numbers."""

from __future__ import annotations

import pytest

from panelbridge.config.links.units import factor_between


@pytest.mark.parametrize(
    ("number", "given", "wanted", "gives", "within"),
    [
        (1.0, "kt", "m/s", 1852 / 3600, 1e-15),
        (1.0, "ft", "m", 0.3048, 1e-15),
        (1.0, "ft/min", "m/s", 0.00508, 1e-12),
        (1.0, "lb", "kg", 0.45359237, 1e-15),
        (1.0, "psi", "Pa", 6894.757293168361, 1e-12),
        (1.0, "inHg", "Pa", 3386.389, 1e-15),
        (1.0, "bar", "Pa", 100_000.0, 1e-15),
        (180.0, "degrees", "rad", 3.141592653589793, 1e-15),
        (140.0, "kt", "m/s", 72.0222, 1e-6),
        (250.0, "kt", "km/h", 463.0, 1e-12),
        (3000.0, "psi", "bar", 206.843, 1e-5),
        (29.92, "inHg", "hPa", 1013.208, 1e-6),
        (1013.25, "hPa", "inHg", 29.9213, 2e-6),
    ],
)
def test_worked_numbers(
    number: float, given: str, wanted: str, gives: float, within: float
) -> None:
    factor = factor_between(given, wanted)
    assert isinstance(factor, float)
    assert number * factor == pytest.approx(gives, rel=within)
