"""Nose-wheel steering."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_steering_angle import stage


def events() -> list[Event]:
    """It is refused after an emergency extension."""
    nose = stage()
    nose.after(1.0, available=False)
    nose.press("button")
    return nose.events
