"""Master lights."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_alerts import noted, stage


def events() -> list[Event]:
    """Both masters reset."""
    masters = stage()
    masters.after(1.0, master_reset=False, **noted("warning", 1), **noted("caution", 1))
    masters.press("master_reset")
    return [*masters.events]
