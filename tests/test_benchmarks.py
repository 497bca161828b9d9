"""What the benchmark of the logic reports of made-up figures, so that no clock decides."""

from __future__ import annotations

import pytest

from tests.benchmarks.logic_speed import built_in_flight, line


@pytest.mark.parametrize(
    ("value", "wanted", "end"),
    [
        (20_000.0, ">= 20000", "  20000.00  wanted >= 20000: met"),
        (19_999.9, ">= 20000", "  19999.90  wanted >= 20000: NOT MET"),
        (30.0, "<= 30", "     30.00  wanted <= 30: met"),
        (30.1, "<= 30", "     30.10  wanted <= 30: NOT MET"),
    ],
)
def test_a_figure_is_held_against_what_is_wanted(value: float, wanted: str, end: str) -> None:
    assert line("save, us", value, wanted) == f"{'save, us':<48}{end}"


def test_the_built_in_flight_is_flown_by_its_pilot() -> None:
    steps = built_in_flight()
    assert len(steps) == 9950
    commanded = [aircraft.gear_handle for _, _, aircraft in steps]
    assert [str(one) for one in dict.fromkeys(commanded)] == ["down", "up"]
    assert commanded[-1] is commanded[0]
