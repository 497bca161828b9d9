"""Horn rules of the builder's own."""

from __future__ import annotations

from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, Event, SwitchState
from tests.logic.build import twin


def events() -> list[Event]:
    """A rule begins and ends."""
    rule = {"label": "fast", "sounds_when": {"airspeed_kias": {"above": 100}}}
    logic = PanelLogic(twin(own_horn={"fast": rule}))
    seen: list[Event] = []
    for now_s, kias in ((0.0, 90.0), (1.0, 110.0), (2.0, 90.0)):
        seen += logic.step(now_s, SwitchState(), AircraftState(airspeed_kias=kias)).events
    return seen
