"""The parking brake by itself, at the pressure at which it just no longer holds."""

from __future__ import annotations

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.logic.events import EventLog
from panelbridge.logic.parking_brake import ParkingBrake


def brake() -> tuple[ParkingBrake, EventLog]:
    log = EventLog()
    made = ParkingBrake(
        full_psi=1600.0,
        hold_psi=400.0,
        residual_psi=50.0,
        bleed_psi_per_min=10.0,
        set_fraction=0.9,
        released_fraction=0.1,
        timers=TimerHeap(),
        timer=("brakes", "parking"),
        log=log,
    )
    made.update(0.0, 0.0, supplied=False, take_stored=lambda: 0.0)
    return made, log


@pytest.mark.parametrize(
    ("part", "holds"), [(0.0, False), (0.25, False), (0.2500001, True), (1.0, True)]
)
def test_stored_energy_sets_it_only_above_the_pressure_that_holds(part: float, holds: bool) -> None:
    made, log = brake()
    made.update(1.0, 1.0, supplied=False, take_stored=lambda: part)
    assert made.holds is holds
    assert made.psi == (part * 1600.0 if holds else 0.0)
    names = [event.name for event in log.take()]
    assert names == ["parking_brake_set" if holds else "parking_brake_not_set"]
    made.update(2.0, 1.0, supplied=False, take_stored=lambda: part)
    assert not log.take(), "told once"


def test_a_refusal_is_told_anew_after_the_lever_was_let_go() -> None:
    made, log = brake()
    for now_s in (1.0, 3.0):
        made.update(now_s, 1.0, supplied=False, take_stored=lambda: 0.0)
        assert [event.name for event in log.take()] == ["parking_brake_not_set"]
        made.update(now_s + 1.0, 0.0, supplied=False, take_stored=lambda: 0.0)
        assert not log.take()
