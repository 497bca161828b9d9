"""H-6: speeds of a serial line on a 16 MHz AVR board.

Data sheets ATmega2560 (2549A, table 109) and ATmega48/88/168, chapter USART, "Examples of Baud Rate
Setting" at 16.0000 MHz; the formula is f / (16 or 8 (UBRR + 1)).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.baud import (
    DOUBLE,
    FASTEST_BAUD,
    LARGEST_UBRR,
    NORMAL,
    RECOMMENDED_BAUDS,
    WARN_ABOVE_PERCENT,
    setting,
    sketch_setting,
)

CLOCK_HZ = 16_000_000
TABLE = [
    # baud, UBRR and error in % at normal speed, the same at double speed
    (9_600, 103, 0.2, 207, 0.2),
    (19_200, 51, 0.2, 103, 0.2),
    (38_400, 25, 0.2, 51, 0.2),
    (57_600, 16, 2.1, 34, -0.8),
    (115_200, 8, -3.5, 16, 2.1),
    (230_400, 3, 8.5, 8, -3.5),
    (250_000, 3, 0.0, 7, 0.0),
    (500_000, 1, 0.0, 3, 0.0),
    (1_000_000, 0, 0.0, 1, 0.0),
]


@pytest.mark.parametrize(("baud", "ubrr", "error", "ubrr_double", "error_double"), TABLE)
def test_each_row(
    baud: int, ubrr: int, error: float, ubrr_double: int, error_double: float
) -> None:
    normal, double = setting(CLOCK_HZ, baud, NORMAL), setting(CLOCK_HZ, baud, DOUBLE)
    assert (normal.ubrr, double.ubrr) == (ubrr, ubrr_double)
    assert (round(normal.error_percent, 1), round(double.error_percent, 1)) == (error, error_double)


def test_the_register_has_twelve_bits() -> None:
    assert setting(CLOCK_HZ, 2_400, NORMAL).ubrr == 416
    assert setting(CLOCK_HZ, 2_400, DOUBLE).ubrr == 832
    assert setting(CLOCK_HZ, 300, DOUBLE).ubrr == LARGEST_UBRR == 2**12 - 1


def test_the_recommended_ones_are_exact_and_the_usual_one_is_not() -> None:
    assert RECOMMENDED_BAUDS == (250_000, 500_000)
    assert all(sketch_setting(CLOCK_HZ, baud).error_percent == 0.0 for baud in RECOMMENDED_BAUDS)
    assert max(RECOMMENDED_BAUDS) <= FASTEST_BAUD
    assert sketch_setting(CLOCK_HZ, 115_200).error_percent > WARN_ABOVE_PERCENT == 2.0


@given(st.integers(300, 2_000_000), st.sampled_from([NORMAL, DOUBLE]))
def test_no_other_setting_is_nearer_to_what_is_divided(baud: int, divisor: int) -> None:
    found = setting(CLOCK_HZ, baud, divisor)
    assert 0 <= found.ubrr <= LARGEST_UBRR
    assert found.actual == CLOCK_HZ / (divisor * (found.ubrr + 1))
    wanted = CLOCK_HZ / (divisor * baud)
    for ubrr in (found.ubrr - 1, found.ubrr + 1):
        if 0 <= ubrr <= LARGEST_UBRR:
            assert abs(found.ubrr + 1 - wanted) <= abs(ubrr + 1 - wanted)
