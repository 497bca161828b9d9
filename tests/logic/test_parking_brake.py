"""The parking brake by itself, at the pressure at which it just no longer holds."""

from __future__ import annotations

import pytest

from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.parking import Parking, ParkingBrake

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
        self.rules = ParkingBrake(PARAMETERS, lambda _, name: self.events.append(name))
        self.parking = Parking()
        self.taken = 0.0

    def at(self, now_s: float, lever: float, stored: float) -> list[str]:
        """What it reports at one update."""
        self.events.clear()
        self.parking, self.taken = self.rules.update(
            now_s, self.parking, lever, stored=stored, sticks=False
        )
        return list(self.events)

    def psi(self, now_s: float) -> float:
        return self.parking.pressure.at(now_s)


def brake() -> Brake:
    made = Brake()
    made.at(0.0, 0.0, 0.0)
    return made


@pytest.mark.parametrize(
    ("part", "holds"), [(0.0, False), (0.25, False), (0.2500001, True), (1.0, True)]
)
def test_stored_energy_sets_it_only_above_the_pressure_that_holds(part: float, holds: bool) -> None:
    made = brake()
    events = made.at(1.0, 1.0, part)
    assert made.rules.holds(made.psi(1.0)) is holds
    assert made.psi(1.0) == (part * 1600.0 if holds else 0.0)
    assert made.taken == (part if holds else 0.0)
    assert events == ["parking_brake_set" if holds else "parking_brake_not_set"]
    assert not made.at(1.0005, 1.0, part), "reported once"
    assert made.taken == 0.0


def test_more_than_one_application_is_never_taken() -> None:
    made = brake()
    made.at(1.0, 1.0, 7.5)
    assert (made.taken, made.psi(1.0)) == (1.0, 1600.0)


def test_a_refusal_is_reported_again_after_the_lever_was_released() -> None:
    made = brake()
    for now_s in (1.0, 3.0):
        assert made.at(now_s, 1.0, 0.0) == ["parking_brake_not_set"]
        assert not made.at(now_s + 1.0, 0.0, 0.0)
