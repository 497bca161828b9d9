"""The demonstration flight: its feed, and a pilot that moves the switches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from panelbridge.feeds.feed import Feed, FeedReading
from panelbridge.feeds.flight_script import (
    DURATION_S,
    LEGS,
    PHASES,
    PILOT_ACTIONS,
    TRIM_UNITS,
    Side,
)
from panelbridge.feeds.flight_values import values_at, wheel_rpm_at
from panelbridge.signals import AircraftState, Commands, GearPosition


class DemoFlight(Feed):
    """Flies the script from the first reading on.

    Args:
        legs: names of the aircraft's legs; a leg that the script does not know follows ``left``.
        engines: number of engines; those beyond two follow the right one.
        wheels: the side of each braked wheel.
        repeat: start again at the end instead of finishing.
    """

    def __init__(
        self,
        legs: Sequence[str],
        engines: int,
        *,
        wheels: Sequence[Side] = (),
        repeat: bool = False,
    ) -> None:
        self.name = "demonstration flight"
        self._legs = [LEGS.index(leg) if leg in LEGS else 1 for leg in legs]
        self._engines = [min(engine, 1) for engine in range(engines)]
        self._wheels = [(side, wheels[:place].count(side)) for place, side in enumerate(wheels)]
        self._repeat = repeat
        self._start_s: float | None = None
        self._handle = GearPosition.DOWN

    def flight_time_s(self, now_s: float) -> float:
        """Seconds since the flight began."""
        if self._start_s is None:
            self._start_s = now_s
        return now_s - self._start_s

    @property
    def phases(self) -> Sequence[str]:
        """The phases of the script, in order."""
        return [name for _, name in PHASES]

    def phase_index(self, now_s: float) -> int:
        """Which of them the flight is in."""
        time_s = self.flight_time_s(now_s)
        return max(sum(begins_s <= time_s for begins_s, _ in PHASES) - 1, 0)

    def read(self, now_s: float) -> FeedReading:
        """The aircraft at ``now_s``; ``finished`` once it has parked again."""
        time_s = self.flight_time_s(now_s)
        if self._repeat and time_s >= DURATION_S:
            self.restart(now_s)
            time_s = 0.0
        values = values_at(time_s)
        aircraft = AircraftState(
            airspeed_kias=values.airspeed_kias,
            altitude_ft=values.altitude_ft,
            ground_speed_kt=values.ground_speed_kt,
            throttle_fraction=tuple([values.throttles[engine] for engine in self._engines]),
            flap_deg=values.flap_deg,
            speed_brake_fraction=values.speed_brake,
            trim_units=TRIM_UNITS,
            strut_compressed=tuple([values.compressed[leg] for leg in self._legs]),
            gear_handle=self._handle,
            hydraulic_pressure_psi=values.hydraulic_pressure_psi,
            engine_running=tuple([values.engines_running[engine] for engine in self._engines]),
            bus_powered=True,
            wheel_speed_rpm=tuple(
                [
                    wheel_rpm_at(side, number, time_s, values.ground_speed_kt)
                    for side, number in self._wheels
                ]
            ),
            brake_pedal_fraction=(values.brake_pedals, values.brake_pedals),
            steering_pedal_fraction=values.steering_pedals,
        )
        return FeedReading(aircraft, True, now_s, values.phase, time_s >= DURATION_S)

    def send(self, now_s: float, commands: Commands) -> None:
        """The simulator's own handle follows the panel's command."""
        if commands.gear is not None:
            self._handle = commands.gear

    def restart(self, now_s: float) -> None:
        """Fly again from the start."""
        self._start_s = now_s
        self._handle = GearPosition.DOWN


class SwitchMover(Protocol):
    """Moves the panel's switches by name: the simulated panel."""

    def move(self, now_s: float, switch: str, position: str | float) -> None:
        """Move ``switch`` to ``position`` at ``now_s``."""
        ...


class DemoPilot:
    """Carries out the script's actions on the switches that the panel has.

    Args:
        flight: gives the time of the flight.
        mover: moves the switches.
        fitted: names of the switches that the panel has; actions on others are left out.
    """

    def __init__(self, flight: DemoFlight, mover: SwitchMover, fitted: Sequence[str]) -> None:
        self._flight = flight
        self._mover = mover
        self._actions = [action for action in PILOT_ACTIONS if action.switch in fitted]
        self._done = 0

    def poll(self, now_s: float) -> None:
        """Carry out the actions that are due at ``now_s``."""
        time_s = self._flight.flight_time_s(now_s)
        while self._done < len(self._actions) and self._actions[self._done].time_s <= time_s:
            action = self._actions[self._done]
            self._mover.move(now_s, action.switch, action.position)
            self._done += 1

    def restart(self) -> None:
        """Start again with the first action."""
        self._done = 0
