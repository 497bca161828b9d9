"""Emergency extension."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_emergency import stage


def events() -> list[Event]:
    """A bottle is used, reset and found too empty."""
    air = stage(extension_use_psi=1500.0)
    air.press("handle")
    air.press("gear_reset")
    air.after(1.0, on_ground=True, gear_down=True)
    air.press("gear_reset")
    air.fault("air_bottle", "empty")
    air.press("handle")
    return air.events
