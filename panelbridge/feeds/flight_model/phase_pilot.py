"""The pilot of the flight model: moves the panel's switches, phase by phase."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from panelbridge.feeds.demo_flight import SwitchMover
from panelbridge.feeds.flight_model.flight_model_feed import FlightModelFeed

_TILLER_PLAY = 0.01
"""Smaller movements of the tiller are left out."""


class PhaseAction(NamedTuple):
    """One movement of a switch.

    Attributes:
        phase: of the flight.
        after_s: since it began.
        switch: its name in the panel file.
        position: its new position; of a lever 0 to 1.
    """

    phase: str
    after_s: float
    switch: str
    position: str | float


PHASE_ACTIONS = (
    PhaseAction("parked", 1.0, "lamp_test", "pressed"),
    PhaseAction("parked", 2.5, "lamp_test", "released"),
    PhaseAction("parked", 3.5, "aux_pump", "on"),
    PhaseAction("parked", 9.0, "parking_brake", 1.0),
    PhaseAction("parked", 15.0, "aux_pump", "off"),
    PhaseAction("parked", 15.5, "antiskid", "on"),
    PhaseAction("parked", 19.0, "parking_brake", 0.0),
    PhaseAction("taxi", 0.5, "steering_button", "pressed"),
    PhaseAction("line-up", 5.0, "steering_button", "released"),
    PhaseAction("climb", 3.0, "gear_handle", "up"),
    PhaseAction("idle descent", 35.0, "horn_silence", "pressed"),
    PhaseAction("idle descent", 35.5, "horn_silence", "released"),
    PhaseAction("approach", 14.0, "gear_handle", "down"),
    PhaseAction("roll-out", 8.0, "steering_button", "pressed"),
    PhaseAction("parked again", 0.5, "steering_button", "released"),
    PhaseAction("parked again", 3.0, "parking_brake", 1.0),
    PhaseAction("parked again", 5.0, "antiskid", "off"),
)


class PhasePilot:
    """Carries out the actions of each phase on the switches that the panel has.

    Args:
        flight: gives the phase.
        mover: moves the switches.
        fitted: names of the switches that the panel has; actions on others are left out.
    """

    def __init__(self, flight: FlightModelFeed, mover: SwitchMover, fitted: Sequence[str]) -> None:
        self._flight = flight
        self._mover = mover
        self._actions = [action for action in PHASE_ACTIONS if action.switch in fitted]
        self._has_tiller = "tiller" in fitted
        self._left = list(self._actions)
        self._tiller = 0.5

    def poll(self, now_s: float) -> None:
        """Carry out the actions that are due; turn the tiller as the autopilot steers."""
        flight, phase = self._flight, self._flight.phase
        since_s = flight.phase_s
        for action in [one for one in self._left if one.phase == phase and one.after_s <= since_s]:
            self._mover.move(now_s, action.switch, action.position)
            self._left.remove(action)
        tiller = 0.5 + 0.5 * flight.steering_pedals
        if self._has_tiller and abs(tiller - self._tiller) > _TILLER_PLAY:
            self._tiller = tiller
            self._mover.move(now_s, "tiller", tiller)

    def restart(self) -> None:
        """Start again with the first action."""
        self._left = list(self._actions)
        self._tiller = 0.5
