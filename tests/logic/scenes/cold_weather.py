"""Cold-weather routine."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_cold_weather import Scene


def events() -> list[Event]:
    """A take-off with the gear raised too early, and an approach with all that is asked."""
    cold = Scene()
    cold.take_off()
    cold.raise_gear()
    cold.after(200.0)
    cold.lower_gear()
    cold.after(1.0, antiskid_on=False)
    cold.pump(3)
    cold.after(1.0, antiskid_on=True)
    return cold.events
