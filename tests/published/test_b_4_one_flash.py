"""B-4: AC 25.1322-1 (from memory): flashing lamps share one phase.

B-6: MIL-STD-1472 (from memory): 3 to 5 flashes a second, about equal on and off. B-7: WCAG 2,
success criterion 2.3.1 (from memory): no more than three flashes in any second.
"""

from __future__ import annotations

from itertools import pairwise
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.lamps.parameters import LampParameters
from tests.logic.build import Bench, flying_gear_down, switches, twin
from tests.logic.test_panel_outputs import Panel

FLASHING = ["nose_red", "left_red", "right_red", "handle_red"]


def flashing(hz: float = 3.0) -> Bench:
    return flying_gear_down(
        twin(
            lamps={"flashing": FLASHING, "flash_hz": hz},
            agreement={"handle_limit_s": None, "legs_limit_s": None},
        )
    )


def course(bench: Bench, for_s: float) -> list[tuple[float, frozenset[str]]]:
    """Which lamps are lit from when on, while the gear is on its way up."""
    start_s = bench.now_s
    bench.after(0.0, switches("up"))
    seen = [(0.0, frozenset(bench.lit))]
    while (due_s := bench.logic.next_due_s) <= start_s + for_s:
        bench.at(due_s)
        lit = frozenset(bench.lit)
        if lit != seen[-1][1]:
            seen.append((due_s - start_s, lit))
    return seen


def test_all_that_flash_go_on_and_off_together() -> None:
    """AC 25.1322-1: the on-edges of all flashing lamps coincide."""
    for _, lit in course(flashing(), 5.0):
        shown = lit & set(FLASHING)
        # The handle's light comes first, the legs' when they have unlocked: within one phase.
        assert not shown or "handle_red" in shown


@pytest.mark.parametrize("hz", [1.0, 3.0, 5.0])
def test_as_many_flashes_as_the_file_says_half_of_the_time_lit(hz: float) -> None:
    seen = course(flashing(hz), 4.0)
    changes = [(at_s, "handle_red" in lit) for at_s, lit in seen]
    edges = [pair for n, pair in enumerate(changes) if not n or pair[1] != changes[n - 1][1]]
    for (at_s, lit), (next_s, _) in pairwise(edges):
        assert next_s - at_s == pytest.approx(0.5 / hz)
        assert lit is (round(at_s * 2 * hz) % 2 == 0), "it begins lit"


def test_the_default_keeps_to_both_published_rates() -> None:
    """MIL-STD-1472: 3 to 5 a second; WCAG 2.3.1: at most three in any second."""
    assert LampParameters().flash_hz == 3.0
    on_edges = [at_s for at_s, lit in course(flashing(), 6.0) if "handle_red" in lit]
    for first_s in on_edges:
        assert sum(first_s <= at_s < first_s + 1.0 - 1e-9 for at_s in set(on_edges)) <= 6


def test_it_stops_with_what_flashed() -> None:
    bench = flashing()
    bench.after(0.0, switches("up"))
    bench.after(60.0)
    assert bench.logic.view().legs[0].locks.is_up
    assert not bench.lit
    assert bench.logic.next_due_s == float("inf")


@given(st.lists(st.booleans(), min_size=1, max_size=20))
def test_law_what_does_not_flash_is_lit_all_the_time(orders: list[bool]) -> None:
    panel, now_s = Panel(flashing=["nose_red"]), 0.0
    for wanted in orders:
        panel.take(now_s, red=wanted)
        for _ in range(3):
            lamps, began_s = panel.show(now_s).lamps, panel.made.flash_began_s
            halves = 0 if began_s is None else round((now_s - began_s) * 6.0)
            assert (lamps["nose_red"] > 0) is (wanted and halves % 2 == 0)
            assert lamps["nose_green"] > 0
            assert (panel.made.due_s < inf) is wanted
            now_s = panel.made.due_s if wanted else now_s + 1.0
