"""Scenes in which panel and simulator disagree, data never comes, and time stands still."""

from __future__ import annotations

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import Event
from tests.logic.build import DOWN, FREE, LOCKED_DOWN, UP, Bench, air, changed, fed_twin, switches
from tests.logic.whole_aircraft import PLAIN


def events() -> list[Event]:
    """All of them."""
    fed = Bench(fed_twin())
    whole = air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3)
    fed.at(0.0, switches("down"), whole)
    fed.at(1.0, aircraft=changed(whole, gear_handle=UP, leg_locks=(FREE,) * 3))
    fed.at(60.0, aircraft=whole)
    fed.at(61.0, aircraft=changed(whole, throttle_fraction=()))
    fed.at(80.0, aircraft=changed(whole, paused=True))
    fed.at(81.0, aircraft=whole)
    jet = Bench(AircraftParameters.model_validate(PLAIN["jet"]))
    jet.at(0.0, switches("down"), air(gear_handle=DOWN))
    jet.at(30.0, switches("up"))
    jet.at(31.0)
    asleep = PanelLogic(fed_twin(), longest_step_s=60.0)
    asleep.step(0.0, switches("down"), whole)
    return [*fed.events, *jet.events, *asleep.step(9e4, switches("down"), whole).events]
