"""The horn's decision table, derived from 14 CFR 23.729(f)(1) and (f)(2), Amdt 23-49, 61 FR 5166.

``horn = not ALLDL and (F or (ANYT and not sil))``, where ALLDL is all legs locked down, F the flaps
beyond the approach position, ANYT any lever closed and sil the silence. The handle raised on the
ground (FAA Airplane Flying Handbook ch. 12, fig. 12-12) sounds it too, whatever the rest.
"""

from __future__ import annotations

from itertools import product

import pytest

from panelbridge.logic.gear_warning.facts import WarningFacts
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.gear_warning.rules import horn_rules, warning_causes
from panelbridge.logic.kit.declarations import loudest
from panelbridge.signals import HornPattern
from tests.logic.build import (
    CLOSED,
    FREE,
    LOCKED_DOWN,
    OPEN,
    Bench,
    air,
    changed,
    fed_twin,
    switches,
)

COMBINATIONS = list(product((False, True), repeat=5))
# The table as it is printed: (ALLDL, F, ANYT, sil) -> horn; None is any.
TABLE = [
    ((True, None, None, None), False),
    ((False, True, None, None), True),
    ((False, False, True, False), True),
    ((False, False, True, True), False),
    ((False, False, False, None), False),
]


def printed(all_down: bool, flaps: bool, any_closed: bool, silenced: bool) -> bool:
    """The one row of the printed table that fits."""
    case = (all_down, flaps, any_closed, silenced)
    rows = [
        horn
        for row, horn in TABLE
        if all(cell in (None, value) for cell, value in zip(row, case, strict=True))
    ]
    assert len(rows) == 1, "the table decides every case, and only once"
    return rows[0]


@pytest.mark.parametrize("case", COMBINATIONS)
def test_the_rules_follow_the_table(case: tuple[bool, bool, bool, bool, bool]) -> None:
    """14 CFR 23.729(f)(1), (f)(2), Amdt 23-49: all 32 combinations of the pure functions."""
    all_down, flaps, any_closed, silenced, on_ground = case
    facts = WarningFacts(all_down, flaps, any_closed, silenced, on_ground)
    sounding = [one for one in horn_rules(GearWarningParameters()) if one.rule.holds(facts)]
    horn = printed(all_down, flaps, any_closed, silenced) or on_ground
    pattern = loudest(one.pattern for one in sounding)
    assert (pattern is not HornPattern.SILENT) == bool(sounding) == horn
    assert {one.rule.name for one in sounding} <= set(warning_causes(facts))
    unsilenced = printed(all_down, flaps, any_closed, False) or on_ground
    assert bool(warning_causes(facts)) == unsilenced, "silence hides no cause"


@pytest.mark.parametrize("case", COMBINATIONS)
def test_the_whole_logic_follows_the_table(case: tuple[bool, bool, bool, bool, bool]) -> None:
    """14 CFR 23.729(f)(1), (f)(2), Amdt 23-49: all 32 combinations as a pilot makes them."""
    all_down, flaps, any_closed, silenced, on_ground = case
    bench = Bench(fed_twin())
    struts = (on_ground,) * 3
    bench.at(0.0, switches("down"), air(leg_locks=(LOCKED_DOWN,) * 3, strut_compressed=struts))
    bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=(FREE,) * 3))
    bench.throttles(CLOSED if any_closed else OPEN, OPEN)
    if silenced:
        bench.press("horn_silence")
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0 if flaps else 0.0))
    bench.after(1.0, switches("up" if on_ground else "down"))
    if all_down:
        bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=(LOCKED_DOWN,) * 3))
    # The silence lives only while the throttle rule holds; the table does not care elsewhere.
    assert bench.logic.view().horn_silenced == (silenced and any_closed and not all_down)
    horn = printed(all_down, flaps, any_closed, silenced) or on_ground
    assert (bench.horn != "silent") == horn
    if flaps and not all_down:
        assert bench.horn == "continuous"
