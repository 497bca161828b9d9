"""What the demonstration flight must show, worked out from its script and the aircraft file."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.feeds.flight_script import (
    DURATION_S,
    PILOT_ACTIONS,
    STRUT_CHANGES,
    values_at,
)

SWITCH_LAG_S = 0.12
"""Debounce (20 ms), bounce (at most 6.2 ms each way) and a few ticks of 20 ms."""
HANDLE_TRAVEL_S = 0.3
"""How long the simulated hand moves the handle from one contact to the other."""
TICK_S = 0.02


@dataclass(frozen=True)
class Expected:
    """A happening and the window in which it must come, seconds of the flight."""

    name: str
    subject: str
    earliest_s: float
    latest_s: float


def expected_happenings(aircraft: AircraftFile) -> list[Expected]:
    """All of them but the link's and the feed's, by earliest time."""
    expected = []

    def add(name: str, at_s: float, subject: str = "", lag_s: float = SWITCH_LAG_S) -> None:
        expected.append(Expected(name, subject, at_s, at_s + lag_s))

    for action in PILOT_ACTIONS:
        at_s, pressed = action.time_s, action.position == "pressed"
        if action.switch == "lamp_test":
            add("lamp_test_started" if pressed else "lamp_test_ended", at_s)
        elif action.switch == "steering_button":
            add("steering_engaged" if pressed else "steering_released", at_s)
        elif action.switch == "horn_silence" and pressed:
            add("horn_silenced", at_s)
        elif action.switch == "gear_handle":
            _expect_gear(aircraft, at_s + HANDLE_TRAVEL_S, action.position, add)
    settle_s = aircraft.air_ground.settle_s
    off_s = max(changes[1][0] for changes in STRUT_CHANGES.values())
    on_s = max(changes[2][0] for changes in STRUT_CHANGES.values())
    add("took_off", off_s + settle_s, lag_s=2 * TICK_S)
    add("touched_down", on_s + settle_s, lag_s=2 * TICK_S)
    for at_s in _throttle_warnings(aircraft):
        add("horn_sounded", at_s + aircraft.gear_warning.throttle_settle_s, lag_s=2 * TICK_S)
    return sorted(expected, key=lambda e: e.earliest_s)


def _expect_gear(aircraft: AircraftFile, at_s: float, position: str, add: object) -> None:
    assert callable(add)
    add(f"gear_handle_moved_{position}", at_s)
    add(f"gear_{position}_commanded", at_s)
    arrivals = []
    for leg in aircraft.legs:
        unlocked_s = at_s + leg.unlock_s
        add("leg_unlocked", unlocked_s, leg.name)
        travel_s = leg.retract_s if position == "up" else leg.extend_s
        arrivals.append(unlocked_s + travel_s)
        add(f"leg_locked_{position}", arrivals[-1], leg.name)
    add(f"gear_locked_{position}", max(arrivals))


def _throttle_warnings(aircraft: AircraftFile) -> list[float]:
    """When a lever closes beyond the approach setting while the gear is not down, by the script."""
    up_s, down_s = (a.time_s for a in PILOT_ACTIONS if a.switch == "gear_handle")
    limit = aircraft.gear_warning.throttle_approach_fraction
    found = []
    for lever in (0, 1):
        closed = True
        for tick in range(int(DURATION_S / TICK_S)):
            time_s = tick * TICK_S
            below = values_at(time_s).throttles[lever] <= limit
            if below and not closed and up_s < time_s < down_s:
                found.append(time_s - TICK_S)
            closed = below
    return found
