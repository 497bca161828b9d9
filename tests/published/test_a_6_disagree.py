"""A-6: 14 CFR 25.729(e)(7), Amdt 25-136; CS 25.729(e)(7): gear that disagrees with its lever."""

from __future__ import annotations

from itertools import product

import pytest

from panelbridge.signals import GearPosition, HandleContacts, LegLocks
from tests.logic.build import DOWN, FREE, LOCKED_DOWN, LOCKED_UP, UP, Bench, air, fed_twin, switches
from tests.logic.gear_rig import Rig

Three = tuple[LegLocks, LegLocks, LegLocks]
LEGS: list[Three] = [(a, b, c) for a, b, c in product((LOCKED_UP, FREE, LOCKED_DOWN), repeat=3)]
AGREE = {("up", (LOCKED_UP,) * 3), ("down", (LOCKED_DOWN,) * 3)}


def disagrees(handle: GearPosition | None, locks: Three) -> bool:
    """What the gear concludes from the handle and the lock switches."""
    rig = Rig(own_legs=False, found=None)
    rig.at(0.0, handle="unknown" if handle is None else handle.value, locks=locks)
    return not rig.facts.agrees


@pytest.mark.parametrize("contacts", list(HandleContacts))
@pytest.mark.parametrize("locks", LEGS)
def test_54_states_and_a_lever_that_is_nowhere(locks: Three, contacts: HandleContacts) -> None:
    """14 CFR 25.729(e)(7): the alert is on in all states but two; in the middle it is on too."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches(contacts), air(gear_handle=DOWN, leg_locks=locks))
    agrees = (contacts.value, locks) in AGREE
    assert bench.logic.view().gear_disagrees is not agrees
    assert ("handle_red" in bench.lit) is not agrees


def test_exactly_two_of_54_agree() -> None:
    """14 CFR 25.729(e)(7): up with all locked up, down with all locked down."""
    agreeing = [
        (handle, locks)
        for handle, locks in product((UP, DOWN), LEGS)
        if not disagrees(handle, locks)
    ]
    assert agreeing == [(UP, (LOCKED_UP,) * 3), (DOWN, (LOCKED_DOWN,) * 3)]


@pytest.mark.parametrize("locks", LEGS)
def test_a_lever_that_was_never_seen_disagrees(locks: Three) -> None:
    """14 CFR 25.729(e)(7), and unknown is never taken for agreement (*our own decision*)."""
    nowhere: GearPosition | None = None
    assert disagrees(nowhere, locks)
