"""E-6: FAA Airplane Flying Handbook ch. 12 p. 245: extension by falling free, or by gas."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.logic.gear_rig import NAMES, flying, three_legs


@pytest.mark.parametrize("means", ["free_fall", "air"])
def test_every_leg_goes_from_up_through_transit_to_down(means: str) -> None:
    """P. 245: with no pressure at all: up-lock, transit, down-lock, for every leg."""
    rig = flying(power={"power": "hydraulic"}, emergency={"means": means})
    rig.after(1.0, hydraulic=False, bus=False)
    rig.press("emergency").after(60.0)
    for name in NAMES:
        words = [word for _, leg, word in rig.trace if leg == name]
        assert words == ["unlocking_to_extend", "extending", "down_locked"]
    for before, now in pairwise(rig.frames):
        for was, leg in zip(before.states, now.states, strict=True):
            assert (was.value, leg.value) != ("up_locked", "down_locked")


def test_falling_has_times_of_its_own() -> None:
    """P. 245: no pump, no pump's times."""
    rig = flying(legs=three_legs(free_fall_s=11.0), emergency={"means": "free_fall"})
    rig.at(10.0, emergency=True).at(60.0)
    down = {name: when for when, name, word in rig.trace if word == "down_locked"}
    assert down == {"nose": 21.3, "left": 21.4, "right": 21.4}


def test_a_leg_that_hangs_does_not_lock_by_falling_either() -> None:
    """P. 245: what does not lock is the leg: red, and no green."""
    rig = flying(emergency={"means": "free_fall"}).fault("left", "hung")
    rig.press("emergency").after(600.0)
    assert rig.reds == {"left"}
    assert rig.greens == {"nose", "right"}
