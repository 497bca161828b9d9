"""What the benchmark of the logic reports of made-up figures, so that no clock decides."""

from __future__ import annotations

import pytest

from tests.benchmarks.logic_speed import built_in_flight, line
from tests.benchmarks.viewers import Block, lines_of


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


def blocks(*p99_us: float, share: float = 0.02) -> list[Block]:
    return [Block({"lamps": [one / 1e6] * 200}, share) for one in p99_us]


@pytest.mark.parametrize(
    ("without", "having", "ratio", "is_good"),
    [
        ((100, 100, 100, 100), (119, 119, 119), "1.19x", True),
        ((100, 100, 100, 100), (121, 121, 121), "1.21x", False),
        ((100, 150, 100, 100), (140, 150, 150), "1.40x", True),  # within none against none
        ((100, 100, 100, 100), (90, 110, 500), "1.10x", True),  # one bad block decides nothing
    ],
)
def test_viewers_are_judged_by_the_median_or_the_noise_of_the_machine(
    without: tuple[float, ...], having: tuple[float, ...], ratio: str, is_good: bool
) -> None:
    lines, good = lines_of(blocks(*without), blocks(*having, share=0.03), 20)
    assert ratio in lines[0]
    assert good is is_good
    assert lines[1] == "processor of the run's process: 2.0 % without, 3.0 %"
