"""E-5: FAA Airplane Flying Handbook, older ed. p. 11-10: limit switches end the pump's cycle."""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.gear_rig import DOWN, NAMES, UP, flying

PACK = {"power": "electric_pack", "travel_limit_s": 14.0}


@pytest.mark.parametrize("handle", ["down", "up"])
def test_the_pump_stops_only_with_the_last_of_all_limit_switches(handle: str) -> None:
    """P. 11-10: off only when all three switches of that end are made, and then at once."""
    rig = flying(UP if handle == "down" else DOWN, power=PACK).at(10.0, handle=handle).at(60.0)
    end = f"{handle}_locked"
    locked = [when for when, name, word in rig.trace if word == end and name in NAMES]
    stopped = [when for when, name, word in rig.trace if (name, word) == ("power", "idle")]
    assert len(locked) == 3
    assert stopped == [max(locked)]


@pytest.mark.parametrize("broken", NAMES)
def test_one_switch_that_does_not_make_keeps_the_pump_on_until_the_limit(broken: str) -> None:
    """P. 11-10 with A-12: all legs are down, a wire is off: the pump runs on, then the 14 s."""
    rig = flying(power=PACK).fault(broken, "down_switch_open").at(10.0, handle="down")
    assert rig.at(23.9).doing == "running"
    assert rig.all_down
    assert rig.at(24.1).doing == "cut_off"
    assert rig.greens == set(NAMES) - {broken}


@pytest.mark.parametrize("made", list(product([True, False], repeat=3)))
def test_every_combination_of_the_three_switches(made: tuple[bool, bool, bool]) -> None:
    """P. 11-10: eight combinations, one of them ends the cycle."""
    rig = flying(power=PACK)
    for name, makes in zip(NAMES, made, strict=True):
        rig.fault(name, None if makes else "down_switch_open")
    rig.at(10.0, handle="down").at(20.0)
    assert rig.doing == ("idle" if all(made) else "running")
