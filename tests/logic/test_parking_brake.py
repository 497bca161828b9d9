"""The parking brake by itself, at the pressure at which it just no longer holds."""

from __future__ import annotations

import pytest

from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.parking import Parking, ParkingBrake
from panelbridge.logic.brakes.parking_source import ParkingSource

PARAMETERS = BrakesParameters(
    full_psi=1600.0,
    parking_hold_psi=400.0,
    parking_residual_psi=50.0,
    parking_bleed_psi_per_min=10.0,
    parking_set_fraction=0.9,
    parking_released_fraction=0.1,
)


class Brake:
    """The parking brake over its own memory, without pressure from a pump."""

    def __init__(self) -> None:
        self.events: list[str] = []
        self.rules = ParkingBrake(PARAMETERS)
        self.parking = Parking()

    def at(
        self, now_s: float, lever: float, psi: float, *, is_filled: bool = True, feed: float = 0.0
    ) -> list[str]:
        """What it reports at one update, with so much pressure to set it with."""
        self.events.clear()
        source = ParkingSource(psi, feed, is_filled, bleed_psi_per_min=10.0)
        self.parking = self.rules.update(
            now_s,
            self.parking,
            lever,
            source,
            lambda _, name: self.events.append(name),
            sticks=False,
        )
        return list(self.events)

    def _note(self, _now_s: float, name: str) -> None:
        self.events.append(name)

    def asks(self, psi: float) -> int:
        """The fluid that it asks for, in steps."""
        source = ParkingSource(psi, 0.0, is_filled=False, bleed_psi_per_min=10.0)
        return self.rules.steps(self.parking, source)

    def psi(self, now_s: float) -> float:
        return self.parking.pressure.at(now_s)


def brake() -> Brake:
    made = Brake()
    made.at(0.0, 0.0, 0.0)
    return made


@pytest.mark.parametrize(("psi", "holds"), [(0.0, 0), (400.0, 0), (400.1, 1), (1600.0, 1)])
def test_it_sets_only_above_the_pressure_that_holds(psi: float, holds: bool) -> None:
    made = brake()
    events = made.at(1.0, 1.0, psi)
    assert made.rules.holds(made.psi(1.0)) is bool(holds)
    assert made.psi(1.0) == (psi if holds else 0.0)
    assert events == ["parking_brake_set" if holds else "parking_brake_not_set"]
    assert not made.at(1.0005, 1.0, psi), "reported once"


def test_it_waits_for_its_fluid() -> None:
    made = brake()
    assert made.asks(1600.0) == 0, "released"
    assert not made.at(1.0, 1.0, 1600.0, is_filled=False)
    assert made.asks(1600.0) == 20
    assert made.asks(400.0) == 0, "not with a pressure that does not hold"
    assert made.psi(1.0) == 0.0
    assert made.at(1.0, 1.0, 1500.0) == ["parking_brake_set"], "with what there is afterwards"
    assert made.psi(1.0) == 1500.0
    assert made.asks(0.0) == 20, "it keeps its fluid"
    made.at(2.0, 0.0, 1500.0)
    assert made.asks(1500.0) == 0


def test_the_line_feeds_it_and_never_takes_anything_back() -> None:
    """1500 psi, 10 psi a minute: 1490 after a minute; a line of 1495 psi holds it there."""
    made = brake()
    made.at(0.0, 1.0, 1500.0, feed=1500.0)
    made.at(600.0, 1.0, 0.0, feed=1500.0)
    assert made.psi(600.0) == 1500.0
    made.at(600.0, 1.0, 0.0)
    made.at(660.0, 1.0, 0.0, feed=300.0)
    assert made.psi(660.0) == pytest.approx(1490.0)
    made.at(660.0, 1.0, 0.0, feed=1480.0)
    made.at(made.parking.pressure.due_s, 1.0, 0.0, feed=1480.0)
    while made.psi(9999.0) != 1480.0:
        made.at(made.parking.pressure.due_s, 1.0, 0.0, feed=1480.0)
    assert made.psi(99999.0) == 1480.0, "it stops at the pressure of the line"
    made.at(99999.0, 1.0, 0.0, feed=1600.0)
    assert made.psi(99999.0) == 1600.0


def test_pressure_that_comes_back_is_reported() -> None:
    made = brake()
    made.at(0.0, 1.0, 1600.0)
    while made.psi(9e9) > 0.0:
        due_s = made.parking.pressure.due_s
        if due_s > 1e9:
            break
        made.at(due_s, 1.0, 0.0)
    assert not made.rules.holds(made.psi(1e9))
    assert made.at(1e9, 1.0, 500.0, feed=500.0) == ["parking_brake_holds_again"]
    assert made.at(1e9 + 1.0, 1.0, 900.0, feed=900.0) == []


def test_a_refusal_is_reported_again_after_the_lever_was_released() -> None:
    made = brake()
    for now_s in (1.0, 3.0):
        assert made.at(now_s, 1.0, 0.0) == ["parking_brake_not_set"]
        assert not made.at(now_s + 1.0, 0.0, 0.0)


def test_a_refusal_is_said_again_after_it_was_set() -> None:
    """Without pressure at 1 s, set at 2 s, released at 3 s and at once without pressure again."""
    made = brake()
    assert made.at(1.0, 1.0, 0.0) == ["parking_brake_not_set"]
    assert made.at(2.0, 1.0, 1600.0) == ["parking_brake_set"]
    assert made.at(3.0, 0.0, 1600.0) == ["parking_brake_released"]
    assert made.at(4.0, 1.0, 0.0) == ["parking_brake_not_set"]
