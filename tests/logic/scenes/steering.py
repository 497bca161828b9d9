"""Nose-wheel steering."""

from __future__ import annotations

from panelbridge.signals import Happening
from tests.logic.test_steering_angle import stage


def happenings() -> list[Happening]:
    """It is refused after an emergency extension."""
    nose = stage()
    nose.after(1.0, available=False)
    nose.press("button")
    return nose.happenings
