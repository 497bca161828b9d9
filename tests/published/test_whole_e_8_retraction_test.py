"""E-8: US Army TM 1-1500-204-23-1 p. 9-2: the retraction test of a gear, by its own list.

Switches, lights, horn, doors, locks, alternate extension. The aircraft is on jacks: no strut
carries weight, the bus has power, a pump gives pressure. A gear warning is a horn *and* a red
light.
"""

from __future__ import annotations

import pytest

from panelbridge.signals import HandleContacts, LegState
from tests.logic.whole_aircraft import KINDS
from tests.logic.whole_runs import Move, Run, scenes

LEGS = ("nose", "left", "right")
GREENS, REDS = ({f"{leg}_{colour}" for leg in LEGS} for colour in ("green", "red"))
GEAR_LAMPS = GREENS | REDS | {"handle_red"}


def handle(word: str) -> Move:
    return Move({"gear_handle": HandleContacts(word)})


def on_jacks(kind: str) -> Run:
    run = Run(KINDS[kind])
    run.move(0.0, scenes(KINDS[kind])["approach"])
    run.move(0.1, Move({}, {"airspeed_kias": 0.0, "ground_speed_kt": 0.0}))
    run.wait(12.0)
    return run


def sounds(run: Run) -> bool:
    return run.horn_sounds


def states(run: Run) -> set[LegState]:
    return {leg.state for leg in run.view.legs}


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop"])
def test_the_retraction_test_by_its_list(kind: str) -> None:
    run = on_jacks(kind)
    gear = run.lit & GEAR_LAMPS

    # Lights and horn at rest: three greens, no red, no horn; the test lights the reds and sounds.
    assert gear == GREENS
    assert not sounds(run)
    run.move(0.1, Move({"warning_test": True}))
    assert REDS | {"handle_red"} <= run.lit
    assert sounds(run)
    run.move(0.5, Move({"warning_test": False}))
    assert run.lit & GEAR_LAMPS == GREENS

    # Up: red while a leg is on its way, everything dark when all are locked up.
    run.move(0.1, handle("up"))
    run.wait(3.0)
    assert run.lit & REDS
    run.wait(40.0)
    assert states(run) == {LegState.UP_LOCKED}
    assert not run.lit & (GREENS | REDS)
    assert all(leg.locks.is_up for leg in run.view.legs), "up-lock switches"
    if kind == "jet":
        assert {run.view.values[f"{leg}_door"] for leg in ("nose", "left")} == {"closed"}

    # Warning: a lever that is closed sounds the horn and lights the handle red; silence ends the
    # horn alone.
    run.move(0.1, scenes(run.parameters)["levers closed"])
    run.wait(1.0)
    assert sounds(run)
    assert run.result.outputs.lamps["handle_red"] or run.parameters.lamps.flashing
    run.move(0.1, Move({"horn_silence": True}))
    run.wait(0.1)
    assert not sounds(run)
    rules = [r for r in run.logic.reasons("handle_red") if r.condition.startswith("rule: ")]
    assert any(rule.holds for rule in rules)
    run.move(0.1, Move({"horn_silence": False}))

    # Down again: doors open before the legs and close after; all down-lock switches are made.
    run.move(0.1, handle("down"))
    run.wait(1.0)
    if kind == "jet":
        assert run.view.values["left_door"] in ("opening", "open")
    run.wait(40.0)
    assert states(run) == {LegState.DOWN_LOCKED}
    assert all(leg.locks.is_down for leg in run.view.legs), "down-lock switches"
    assert run.lit & GEAR_LAMPS == GREENS
    assert not sounds(run)
    if kind == "jet":
        assert run.view.values["nose_door"] == "closed"


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop"])
def test_its_last_item_the_alternate_extension(kind: str) -> None:
    run = on_jacks(kind)
    run.move(0.1, handle("up"))
    run.wait(40.0)
    engines = run.parameters.engines
    run.move(0.1, Move({}, {"bus_powered": False, "engine_running": (False,) * engines}))
    run.move(0.1, Move({"emergency_extend": True}))
    for _ in range(60):
        run.move(0.4, Move({"hand_pump": True}))
        run.move(0.4, Move({"hand_pump": False}))
    assert states(run) == {LegState.DOWN_LOCKED}, "without pump and bus, with the handle up"
    assert not run.lit, "lamps have no power: lamp and leg are two things"
    run.move(0.1, Move({}, {"bus_powered": True}))
    assert run.lit & GREENS == GREENS
    assert "retract_locked_out_amber" in run.lit
    run.wait(40.0)
    assert states(run) == {LegState.DOWN_LOCKED}, "nothing retracts after it"


def test_switches_limits_and_a_leg_that_hangs() -> None:
    """A leg that does not lock is seen by its lamps, and its movement is cut off by the limit."""
    run = on_jacks("piston")
    run.move(0.1, handle("up"))
    run.wait(40.0)
    run.move(0.1, Move(fault=("left", "hung")))
    run.move(0.1, handle("down"))
    run.wait(20.0)
    assert run.lit & GREENS == {"nose_green", "right_green"}
    assert run.lit & REDS == {"left_red"}
    assert "gear_power_amber" in run.lit
    assert "gear_power_cut_off" in {event.name for event in run.events}
