"""C-5: FAA Airplane Flying Handbook ch. 12 (p. 248): inadvertent retractions on the ground."""

from __future__ import annotations

from panelbridge.signals import Level
from tests.logic.build import (
    LOCKED_DOWN,
    Bench,
    fed_twin,
    flying_gear_down,
    ground,
    on_ground,
    switches,
)


def test_the_gear_switch_moved_up_with_weight_on_is_recorded() -> None:
    """Airplane Flying Handbook p. 248: recorded as a ground retract attempt, as a warning."""
    bench = on_ground()
    bench.at(2.0, switches("up"))
    (attempt,) = [h for h in bench.events if h.name == "ground_retract_refused"]
    assert attempt.time_s == 2.0
    assert attempt.level is Level.WARNING
    assert "ground retract attempt" in attempt.text


def test_every_attempt_is_recorded_and_none_twice() -> None:
    """Airplane Flying Handbook p. 248: one for each time that the handle goes up."""
    bench = on_ground()
    for number in range(5):
        bench.at(10.0 * number + 2.0, switches("up"))
        for tick in range(50):
            bench.at(10.0 * number + 2.1 + tick * 0.05)
        bench.at(10.0 * number + 8.0, switches("down"))
    assert bench.names.count("ground_retract_refused") == 5


def test_a_retraction_in_the_air_is_none() -> None:
    """Airplane Flying Handbook p. 248: only with weight on the wheels."""
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(60.0)
    assert "ground_retract_refused" not in bench.names


def test_it_is_recorded_with_a_simulator_s_legs_too() -> None:
    """Airplane Flying Handbook p. 248, whoever moves the legs."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), ground(leg_locks=(LOCKED_DOWN,) * 3))
    bench.at(1.0, switches("up"))
    assert "ground_retract_refused" in bench.names
    assert bench.command == "down"
