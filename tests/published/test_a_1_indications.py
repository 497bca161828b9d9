"""A-1: 14 CFR 25.729(e)(1), Amdt 25-136, 77 FR 1617: no erroneous indication of locked.

A-15: 14 CFR 23.729(e) (before 2017): each leg by itself.
"""

from __future__ import annotations

from itertools import product

import pytest

from panelbridge.signals import LegLocks
from tests.logic.build import (
    BOTH_MADE,
    DOWN,
    FREE,
    LEG_NAMES,
    LOCKED_DOWN,
    LOCKED_UP,
    Bench,
    air,
    changed,
    fed_twin,
    switches,
)
from tests.logic.gear_rig import flying

STATES = list(product((LOCKED_UP, FREE, LOCKED_DOWN), repeat=3))
Three = tuple[LegLocks, LegLocks, LegLocks]


def shown(locks: Three, handle: str = "down") -> Bench:
    bench = Bench(fed_twin())
    bench.at(0.0, switches(handle), air(gear_handle=DOWN, leg_locks=locks))
    return bench


@pytest.mark.parametrize("locks", STATES)
def test_27_states_of_three_legs(locks: Three) -> None:
    """14 CFR 25.729(e)(1): green exactly where locked down, all dark exactly when all are up."""
    bench = shown(locks)
    down = {n for n, lock in zip(LEG_NAMES, locks, strict=True) if lock == LOCKED_DOWN}
    moving = {n for n, lock in zip(LEG_NAMES, locks, strict=True) if lock == FREE}
    assert bench.greens == down
    assert bench.reds == moving
    assert (not bench.greens and not bench.reds) == (locks == (LOCKED_UP,) * 3)


@pytest.mark.parametrize("leg", range(3))
@pytest.mark.parametrize("others", [LOCKED_UP, FREE, LOCKED_DOWN])
def test_contradictory_switches_show_neither_and_are_a_fault(leg: int, others: LegLocks) -> None:
    """14 CFR 25.729(e)(1): both switches made is no green, no "up" (dark), and a fault."""
    before: list[LegLocks] = [others] * 3
    after = list(before)
    after[leg] = BOTH_MADE
    bench = shown((before[0], before[1], before[2]))
    bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=tuple(after)))
    name = LEG_NAMES[leg]
    assert name not in bench.greens
    assert name in bench.reds
    assert any(name in fault for fault in bench.logic.view().faults)
    assert "leg_locks_contradicted" in bench.names


@pytest.mark.parametrize("hung", LEG_NAMES)
def test_one_leg_hung_leaves_exactly_two_greens(hung: str) -> None:
    """14 CFR 23.729(e), before 2017: the indicator is for each leg."""
    locks = tuple(FREE if name == hung else LOCKED_DOWN for name in LEG_NAMES)
    bench = shown((locks[0], locks[1], locks[2]))
    assert bench.greens == set(LEG_NAMES) - {hung}
    assert bench.reds == {hung}


@pytest.mark.parametrize("cut", [LegLocks(False, False), LegLocks(False, None), LegLocks()])
def test_the_loss_of_a_switch_wire_puts_a_green_out_and_never_on(cut: LegLocks) -> None:
    """14 CFR 23.729(e), before 2017: an open wire is no proof of a lock."""
    bench = shown((LOCKED_DOWN,) * 3)
    for leg, name in enumerate(LEG_NAMES):
        locks = [LOCKED_DOWN] * 3
        locks[leg] = cut
        bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=tuple(locks)))
        assert bench.greens == set(LEG_NAMES) - {name}


@pytest.mark.parametrize("hung", LEG_NAMES)
def test_one_of_our_own_legs_hung_leaves_exactly_two_greens(hung: str) -> None:
    """14 CFR 23.729(e), before 2017: each gear by itself, with our own legs."""
    rig = flying().fault(hung, "hung").after(1.0, handle="down").after(60.0)
    assert rig.greens == set(LEG_NAMES) - {hung}
    assert rig.reds == {hung}


@pytest.mark.parametrize("cut", LEG_NAMES)
def test_a_wire_of_our_own_legs_puts_a_green_out_and_never_on(cut: str) -> None:
    """14 CFR 23.729(e), before 2017: through a whole extension and retraction."""
    rig = flying().fault(cut, "down_switch_open")
    for handle in ("down", "up", "down"):
        rig.after(1.0, handle=handle)
        for _ in range(100):
            assert cut not in rig.after(0.1).greens
    assert rig.all_down
    assert rig.reds == {cut}
    assert rig.fault(cut, None).greens == set(LEG_NAMES)
