"""A-28, through the whole panel: 14 CFR 135.152: three channels that a record must have.

Air/ground, hydraulic pressure low, gear position or selection: each is a signal by name, and goes
with what happens.
"""

from __future__ import annotations

import pytest

from panelbridge.logic.inventory import vocabulary_of
from panelbridge.signals import HandleContacts
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import Move, Run, began, scenes

CHANNELS = ("on_ground", "hydraulic_pressure_low", "gear", "gear_command")


def channels(run: Run) -> tuple[object, ...]:
    signals, world = vocabulary_of(run.parameters), run.logic.world()
    return tuple(signals[name].read(world) for name in CHANNELS)


def test_the_channels_tell_a_flight() -> None:
    jet = KINDS["jet"]
    run = began(jet, "parked")
    run.wait(10.0)
    assert channels(run) == (True, False, "locked_down", "down")
    run.move(0.1, scenes(jet)["lift off"])
    run.wait(1.0)
    assert channels(run) == (False, False, "locked_down", "down")
    run.move(0.1, Move({"gear_handle": HandleContacts.UP}))
    run.wait(2.0)
    assert channels(run) == (False, False, "not_locked", "up")
    run.wait(30.0)
    assert channels(run) == (False, False, "locked_up", "up")
    run.move(0.1, scenes(jet)["engines off"])
    run.wait(1200.0, by_due=False)
    assert channels(run) == (False, True, "locked_up", "up")


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop", "tail_wheel"])
def test_every_aircraft_has_the_channels_of_what_it_has(kind: str) -> None:
    signals = vocabulary_of(KINDS[kind])
    assert {"on_ground", "gear", "gear_command"} <= set(signals)
    assert ("hydraulic_pressure_low" in signals) is (KINDS[kind].hydraulics is not None)


def test_a_feed_s_pressure_is_low_too_when_nobody_knows_it() -> None:
    run = began(fed("jet"), "parked")
    assert channels(run)[1] is False
    run.move(0.1, Move({}, {"hydraulic_pressure_psi": None}))
    assert "hydraulic_pressure_low_amber" in run.lit
    assert channels(run)[1] is True, "unknown counts as low"
