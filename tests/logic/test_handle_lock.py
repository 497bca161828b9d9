"""The lock of the gear handle."""

from __future__ import annotations

from itertools import product

import pytest

from panelbridge.errors import LogicError
from panelbridge.logic.events import EventLog
from panelbridge.logic.handle_lock import HandleLock, HandleLockParameters
from panelbridge.logic.rule import reasons_of
from panelbridge.signals import GearPosition

UP, DOWN = GearPosition.UP, GearPosition.DOWN
KNOWN = (True, False, None)


def held(made: HandleLock) -> bool:
    return made.is_held


def lock() -> tuple[HandleLock, EventLog]:
    log = EventLog()
    return HandleLock(HandleLockParameters(leg="right"), log), log


@pytest.mark.parametrize(("compressed", "release", "bus"), list(product(KNOWN, repeat=3)))
def test_every_combination(compressed: bool | None, release: bool | None, bus: bool | None) -> None:
    """Held unless known in the air, released, or known without power; and it says why."""
    made, _ = lock()
    made.update(0.0, compressed=compressed, release=False, handle=DOWN, bus_powered=bus)
    made.update(1.0, compressed=compressed, release=release, handle=DOWN, bus_powered=bus)
    holds = compressed is not False and release is not True and bus is not False
    assert made.is_held == holds
    (decision,) = made.decisions("handle_lock")
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
    assert made.values(1.0) == {"handle_lock": word}
    assert made.decisions("nose_red") == ()


def test_a_release_that_is_found_held_frees_nothing() -> None:
    made, _ = lock()
    made.update(0.0, compressed=True, release=True, handle=DOWN)
    assert held(made)
    made.update(1.0, compressed=True, release=False, handle=DOWN)
    made.update(2.0, compressed=True, release=True, handle=DOWN)
    assert not held(made)
    made.update(3.0, compressed=True, release=None, handle=DOWN)
    assert held(made)
    made.update(4.0, compressed=True, release=True, handle=DOWN)
    assert held(made), "found held after its board came back"


def test_what_it_tells_of_a_raised_handle() -> None:
    made, log = lock()

    def raised(**inputs: bool | None) -> list[str]:
        wanted = {"compressed": True, "release": False, "bus_powered": True, **inputs}
        made.update(0.0, compressed=True, release=False, handle=DOWN)
        made.update(0.0, handle=DOWN, **wanted)
        made.update(1.0, handle=None, **wanted)
        made.update(1.2, handle=UP, **wanted)
        made.update(2.0, handle=UP, **wanted)
        return [h.name for h in log.take()]

    assert raised() == ["handle_lock_forced"]
    assert raised(release=True) == ["handle_lock_overridden"]
    assert raised(compressed=False) == []
    assert raised(compressed=None) == [], "nobody knows whether it stands on the ground"
    assert raised(bus_powered=False) == []
    assert raised(bus_powered=False, release=True) == []
    made.set_fault(0.0, "handle_lock", "failed")
    assert raised() == [], "a solenoid that is broken holds nothing"


def test_a_handle_that_is_found_up_was_not_raised() -> None:
    made, log = lock()
    made.update(0.0, compressed=True, release=False, handle=UP)
    assert log.take() == ()
    assert held(made)


def test_a_broken_solenoid_holds_nothing() -> None:
    made, _ = lock()
    made.set_fault(0.0, "handle_lock", "failed")
    made.update(0.0, compressed=True, release=False, handle=DOWN)
    assert not held(made)
    assert made.values(0.0) == {"handle_lock": "free"}
    made.set_fault(1.0, "handle_lock", None)
    made.update(1.0, compressed=True, release=False, handle=DOWN)
    assert held(made)
    with pytest.raises(LogicError):
        made.set_fault(2.0, "handle_lock", "jammed")


def test_its_reasons_name_its_strut() -> None:
    made, _ = lock()
    made.update(0.0, compressed=None, release=False, handle=DOWN)
    told = [(one.condition, one.detail) for one in made.told()["in_air"]]
    assert told == [("right strut extended", "unknown")]
    assert made.published[0].words == ("held", "free", "overridden", "unpowered")
    assert HandleLockParameters().leg is None


def test_it_says_what_it_looks_at() -> None:
    made, _ = lock()
    made.update(0.0, compressed=None, release=None, handle=DOWN)
    (decision,) = made.decisions("handle_lock")
    assert [(one.condition, one.detail) for one in reasons_of([decision])][1:] == [
        ("bus power for the handle's lock", ""),
        ("right strut extended", "unknown"),
        ("down-lock release held", ""),
        ("solenoid of the handle's lock works", ""),
    ]
