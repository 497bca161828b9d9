"""The feed that a panel's feed file asks for."""

from __future__ import annotations

from collections.abc import Callable
from types import NoneType
from typing import cast

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.feed_file import DemoFlightFeed, FixedFeedFile, FlightModelFile, ModelName
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.load import LoadedPanel
from panelbridge.feeds.demo_flight import DemoFlight
from panelbridge.feeds.feed import Feed, TrustedFeed
from panelbridge.feeds.fixed_feed import FixedFeed, parked
from panelbridge.feeds.flight_model.flight_model_feed import FlightModelFeed
from panelbridge.feeds.link.make import make_link
from panelbridge.feeds.own_feed import OwnFeedFile
from panelbridge.feeds.transports.make import make_transport

BUILT_IN = (NoneType, FixedFeedFile, DemoFlightFeed, FlightModelFile)
"""Feed files whose data comes from this process: it can stand still."""


def feed_of(loaded: LoadedPanel, wake: Callable[[], None] = lambda: None) -> Feed:
    """The feed in the panel's feed file; a parked aircraft when there is none.

    ``wake``: ends the engine's wait; may be called in other threads.
    """
    aircraft, file = loaded.aircraft, loaded.feed
    if file is None:
        wheels = len(aircraft.brakes.wheels) if aircraft.brakes else 0
        state = parked(len(aircraft.strut_names), aircraft.engines, wheels)
        return FixedFeed(state, "parked aircraft")
    feed: Feed
    if isinstance(file, LinkFeedFile):
        folder = None if loaded.feed_path is None else loaded.feed_path.parent
        return make_link(
            file,
            aircraft,
            lambda keys: make_transport(keys, wake, folder),
            needs_agreement="gear_handle" in loaded.panel.wired_switches,
        )
    if isinstance(file, DemoFlightFeed):
        feed = flight_of(aircraft, repeat=file.repeat)
    elif isinstance(file, FlightModelFile):
        feed = FlightModelFeed(aircraft, file.model, name=file.name, repeat=file.repeat)
    elif isinstance(file, FixedFeedFile):
        feed = FixedFeed(file.values.state(aircraft), file.name)
    else:
        feed = cast(OwnFeedFile, file).make_feed(aircraft, wake)
    return TrustedFeed(feed, file.stale_after_s)


def model_of(loaded: LoadedPanel) -> ModelName:
    """The model that the feed file names; else one that is like the aircraft."""
    if isinstance(loaded.feed, FlightModelFile):
        return loaded.feed.model
    return "heavy_freighter" if loaded.aircraft.engines > 2 else "light_twin_jet"


def flight_of(aircraft: AircraftFile, *, repeat: bool = False) -> DemoFlight:
    """The demonstration flight of an aircraft with these legs, engines and wheels."""
    legs = aircraft.strut_names
    wheels = [wheel.side for wheel in aircraft.brakes.wheels] if aircraft.brakes else []
    return DemoFlight(legs, aircraft.engines, wheels=wheels, repeat=repeat)
