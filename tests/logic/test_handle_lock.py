"""The lock of the gear handle."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.handle_lock.parameters import HandleLockParameters
from panelbridge.logic.handle_lock.system import HANDLE_HELD, HandleLock
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.rule import reasons_of
from panelbridge.signals import GearPosition
from tests.logic.stage import Input, Stage

UP, DOWN = GearPosition.UP, GearPosition.DOWN
KNOWN = (True, False, None)


def held(stage: Stage[HandleLock]) -> bool:
    return HANDLE_HELD.holds(stage.facts)


def lock(**first: Any) -> Stage[HandleLock]:
    names: dict[str, Input] = {
        "compressed": (AirGroundFacts, "struts", 0),
        "release": HandleLock.switches[0],
        "handle": (GearFacts, "handle"),
        "bus_powered": BUS_POWERED,
    }
    return Stage(HandleLock("right", 0), names, **first)


@pytest.mark.parametrize(("compressed", "release", "bus"), list(product(KNOWN, repeat=3)))
def test_every_combination(compressed: bool | None, release: bool | None, bus: bool | None) -> None:
    """Held unless known in the air, released, or known without power; and it says why."""
    stage = lock(compressed=compressed, release=False, handle=DOWN, bus_powered=bus)
    stage.at(0.0)
    stage.at(1.0, release=release)
    holds = compressed is not False and release is not True and bus is not False
    assert held(stage) == holds
    world = stage.loop.world(1.0)
    (decision,) = stage.system.decisions("handle_lock", world)
    first, *rest = reasons_of([decision])
    assert first.holds == holds
    assert [one.holds for one in rest] == [
        *(bus is not False, compressed is False, release is True, True)
    ]
    if holds:
        word = "held"
    elif bus is False:
        word = "unpowered"
    else:
        word = "free" if compressed is False else "overridden"
    assert stage.value("handle_lock") == word
    assert stage.system.decisions("nose_red", world) == []


def test_a_release_that_is_held_at_start_up_frees_nothing() -> None:
    stage = lock(compressed=True, release=True, handle=DOWN)
    stage.at(0.0)
    assert held(stage)
    stage.at(1.0, release=False)
    stage.at(2.0, release=True)
    assert not held(stage)
    stage.at(3.0, release=None)
    assert held(stage)
    stage.at(4.0, release=True)
    assert held(stage), "already held when its board came back"


def test_what_it_reports_of_a_raised_handle() -> None:
    def raised(fault: str | None = None, **inputs: bool | None) -> list[str]:
        stage = lock(compressed=True, release=False, bus_powered=True, handle=DOWN)
        stage.at(0.0)
        stage.fault("handle_lock", fault)
        stage.at(0.5, **inputs)
        stage.at(1.0, handle=None)
        stage.at(1.2, handle=UP)
        stage.at(2.0)
        return stage.names

    assert raised() == ["handle_lock_forced"]
    assert raised(release=True) == ["handle_lock_overridden"]
    assert raised(compressed=False) == []
    assert raised(compressed=None) == [], "it is unknown whether it stands on the ground"
    assert raised(bus_powered=False) == []
    assert raised(bus_powered=False, release=True) == []
    assert raised("failed") == [], "a solenoid that is broken holds nothing"


def test_a_handle_that_is_up_at_start_up_was_not_raised() -> None:
    stage = lock(compressed=True, release=False, handle=UP)
    stage.at(0.0)
    assert stage.names == []
    assert held(stage)


def test_a_broken_solenoid_holds_nothing() -> None:
    stage = lock(compressed=True, release=False, handle=DOWN)
    stage.fault("handle_lock", "failed")
    assert not held(stage)
    assert stage.value("handle_lock") == "free"
    stage.fault("handle_lock", None)
    assert held(stage)


def test_it_says_what_it_looks_at() -> None:
    stage = lock(handle=DOWN)
    stage.at(0.0)
    (decision,) = stage.system.decisions("handle_lock", stage.loop.world(0.0))
    assert [(one.condition, one.detail) for one in reasons_of([decision])][1:] == [
        ("bus power for the handle lock", ""),
        ("right strut extended", "unknown"),
        ("down-lock release held", ""),
        ("handle-lock solenoid works", ""),
    ]
    assert HandleLockParameters().leg is None
