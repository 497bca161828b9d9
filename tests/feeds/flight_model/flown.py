"""A flight of the flight model with the panel's logic, in virtual time, with a pilot's hands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.feed_file import ModelName
from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.feeds.feed import FeedReading
from panelbridge.feeds.flight_model.flight_model_feed import FlightModelFeed
from panelbridge.feeds.flight_model.phase_pilot import PhasePilot
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import Event, HandleContacts, StepResult, SwitchPosition, SwitchState

TICK_S = 0.02
LONGEST_S = 900.0
SWITCHES = (
    *("gear_handle", "parking_brake", "steering_button", "tiller", "aux_pump", "antiskid"),
    "horn_silence",
)
_POSITIONS: Mapping[str, SwitchPosition] = {
    "up": HandleContacts.UP,
    "down": HandleContacts.DOWN,
    "pressed": True,
    "on": True,
    "released": False,
    "off": False,
}


def twin_jet(*, legs_by_feed: bool = False) -> AircraftFile:
    """The shipped twin jet; its legs as the feed reports them, or by their own model.

    Without the heat of its brakes: they are made for a tenth of the heavier model's mass.
    """
    aircraft = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
    aircraft = aircraft.model_copy(update={"brake_heat": None})
    if not legs_by_feed:
        return aircraft
    authority = aircraft.authority.model_copy(update={"legs": "feed"})
    return aircraft.model_copy(update={"authority": authority})


@dataclass
class Hands:
    """The switches, moved at once: no contacts, no bounce."""

    switches: SwitchState = field(
        default_factory=lambda: SwitchState(
            gear_handle=HandleContacts.DOWN,
            parking_brake=0.0,
            steering_button=False,
            tiller=0.5,
            aux_pump=False,
            antiskid=False,
            horn_silence=False,
        )
    )

    def move(self, now_s: float, switch: str, position: str | float) -> None:
        at = _POSITIONS[position] if isinstance(position, str) else position
        self.switches = self.switches.having(**{switch: at})


@dataclass
class Flown:
    """A whole flight.

    Attributes:
        readings: of the feed, one a tick.
        results: of the logic, one a tick.
        events: all of them.
    """

    readings: list[FeedReading] = field(default_factory=list)
    results: list[StepResult] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)

    def named(self, *names: str) -> list[tuple[str, str]]:
        """Name and subject of these events, in their order."""
        return [(one.name, one.subject) for one in self.events if one.name in names]


def fly(model: ModelName, aircraft: AircraftFile) -> Flown:
    """The whole flight with a panel of ``aircraft``."""
    feed = FlightModelFeed(aircraft, model)
    hands, flown = Hands(), Flown()
    pilot = PhasePilot(feed, hands, SWITCHES)
    logic = PanelLogic(aircraft)
    commands = None
    for tick in range(round(LONGEST_S / TICK_S)):
        now_s = tick * TICK_S
        pilot.poll(now_s)
        reading = feed.read(now_s)
        result = logic.step(now_s, hands.switches, reading.aircraft)
        if result.commands is not commands:
            commands = result.commands
            feed.send(now_s, commands)
        flown.readings.append(reading)
        flown.results.append(result)
        flown.events += result.events
        if reading.finished:
            return flown
    raise AssertionError(f"still in the phase {feed.phase} after {LONGEST_S:g} s")
