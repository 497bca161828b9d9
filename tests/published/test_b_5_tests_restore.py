"""B-5: US Army TM 55-1510-221-10, 222-10: test functions light all, and give back what was."""

from __future__ import annotations

from itertools import product

import pytest
from msgspec.structs import replace

from panelbridge.logic.inventory import lamps_of
from panelbridge.signals import LegLocks, Outputs
from tests.logic.build import (
    CLOSED,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    OPEN,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_down,
    flying_gear_up,
    switches,
)

STATES = list(product(("up", "down"), product((LOCKED_UP, FREE, LOCKED_DOWN), repeat=3)))
GEAR_LAMPS = {
    "handle_red",
    *(f"{leg}_{colour}" for leg in ("nose", "left", "right") for colour in ("red", "green")),
}


def found(handle: str, locks: tuple[LegLocks, ...], dimmer: float) -> Bench:
    bench = Bench(fed_twin())
    bench.at(0.0, switches(handle, dimmer=dimmer), air(leg_locks=locks))
    bench.at(1.0)
    bench.events.clear()
    return bench


def held(bench: Bench, name: str) -> tuple[Outputs, Outputs, Outputs]:
    """Outputs before, during and after a test that is held for 3 s."""
    before, view, command = bench.result.outputs, bench.logic.view(), bench.command
    panel = bench.switches
    during = bench.after(0.1, changed(panel, **{name: True})).outputs
    for _ in range(3):
        assert bench.after(1.0).outputs == during
        now = replace(bench.logic.view(), horn_causes=view.horn_causes)  # the test is one itself
        assert now == view, "no gear, silence or disagreement moves"
        assert bench.command == command
    after = bench.after(0.1, panel).outputs
    assert bench.logic.view() == view
    assert bench.names == [f"{name}_started", f"{name}_ended"]
    return before, during, after


@pytest.mark.parametrize("dimmer", [0.0, 0.7])
@pytest.mark.parametrize(("handle", "locks"), STATES)
def test_lamp_test_in_each_of_54_states(
    handle: str, locks: tuple[LegLocks, ...], dimmer: float
) -> None:
    """TM 55-1510-221-10, annunciator test: every lamp on; let go, exactly what was."""
    before, during, after = held(found(handle, locks, dimmer), "lamp_test")
    assert during.lamps == dict.fromkeys(lamps_of(fed_twin()), 255)
    assert during.horn.value != "silent"
    assert after == before


@pytest.mark.parametrize("dimmer", [0.0, 0.7])
@pytest.mark.parametrize(("handle", "locks"), STATES)
def test_warning_test_in_each_of_54_states(
    handle: str, locks: tuple[LegLocks, ...], dimmer: float
) -> None:
    """TM 55-1510-222-10, gear warning test: handle light and horn while held, both off after.

    That it lights the six lamps of the legs too is *common practice, no source*.
    """
    before, during, after = held(found(handle, locks, dimmer), "warning_test")
    assert during.horn.value != "silent"
    for name, level in during.lamps.items():
        assert level > 0 if name in GEAR_LAMPS else level == before.lamps[name]
    assert after == before


@pytest.mark.parametrize("name", ["lamp_test", "warning_test"])
def test_a_test_does_not_end_a_silence(name: str) -> None:
    """TM 55-1510-221-10: let go, the silenced horn is silent as before."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.press("horn_silence")
    bench.events.clear()
    before, during, after = held(bench, name)
    assert during.horn.value == "intermittent"
    assert after == before
    assert bench.logic.view().horn_silenced
    bench.throttles(OPEN, OPEN)
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"


@pytest.mark.parametrize("name", ["lamp_test", "warning_test"])
def test_a_test_does_not_move_or_stop_a_gear_in_transit(name: str) -> None:
    """TM 55-1510-221-10: the legs arrive at the same moments with and without it."""
    plain, under_test = flying_gear_down(), flying_gear_down()
    for bench, panel in ((plain, switches("up")), (under_test, switches("up", **{name: True}))):
        bench.at(2.0, switches("up"))
        bench.at(4.0, panel)
        bench.at(60.0, switches("up"))
    arrived = [told for told in plain.logged if told[1].startswith("leg_")]
    assert arrived == [told for told in under_test.logged if told[1].startswith("leg_")]
    assert len(arrived) == 6


def test_silence_does_not_silence_a_test() -> None:
    """TM 55-1510-222-10: the horn sounds for as long as the test is held."""
    bench = flying_gear_down()
    bench.after(1.0, switches("down", warning_test=True))
    bench.after(0.1, switches("down", warning_test=True, horn_silence=True))
    assert bench.horn == "intermittent"
    bench.after(0.1, switches("down"))
    assert bench.horn == "silent"
    assert not bench.logic.view().horn_silenced
