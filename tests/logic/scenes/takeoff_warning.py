"""Take-off warning."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.takeoff_stage import stage


def events() -> list[Event]:
    """Warned of, silenced, over."""
    made = stage()
    made.after(1.0, lever=0.9, flap_deg=0.0)
    made.press("takeoff_silence")
    made.after(1.0, lever=0.1)
    return [*made.events]
