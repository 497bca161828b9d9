"""P-5: IEEE 754 (recomputed): bytes of single and double numbers in both orders.

Read in the wrong order 1.0 becomes 4.6e-41 and 3000 becomes 1.18e-38: a number that is absurdly
small points at the order of bytes.
"""

from __future__ import annotations

import math

import pytest

from tests.feeds.formats.making import a_format


def read(hexadecimal: str, order: str, type_: str = "float32") -> object:
    form = a_format(["x"], "binary", order=order, fields=[{"name": "x", "type": type_}])
    return form.decode(bytes.fromhex(hexadecimal)).get("x")


@pytest.mark.parametrize(
    ("number", "big", "little"),
    [
        (1.0, "3F800000", "0000803F"),
        (-2.5, "C0200000", "000020C0"),
        (0.1, "3DCCCCCD", "CDCCCC3D"),
        (29.92, "41EF5C29", "295CEF41"),
        (3000.0, "453B8000", "00803B45"),
    ],
)
def test_single_numbers(number: float, big: str, little: str) -> None:
    assert read(big, "big") == pytest.approx(number, rel=6e-8)
    assert read(little, "little") == read(big, "big")


def test_nan_and_infinity_are_unknown_and_minus_zero_is_zero() -> None:
    for text in ("7FC00000", "7F800000", "FF800000", "7F800001"):
        assert read(text, "big") is None
    zero = read("80000000", "big")
    assert zero == 0.0
    assert isinstance(zero, float)
    assert math.copysign(1.0, zero) == -1.0


def test_a_double_number() -> None:
    assert read("3FB999999999999A", "big", "float64") == 0.1
    assert read("9A9999999999B93F", "little", "float64") == 0.1


def test_a_single_number_has_24_bits() -> None:
    """16777217 cannot be one: what was sent as such came as 16777216."""
    assert read("4B800000", "big") == 16_777_216.0


def test_the_wrong_order_makes_absurdly_small_numbers() -> None:
    assert read("3F800000", "little") == pytest.approx(4.6e-41, rel=0.01)
    assert read("453B8000", "little") == pytest.approx(1.18e-38, rel=0.01)
