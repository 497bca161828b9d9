"""The lock of a wheel: locked, unlocked, refused; and the steering that it keeps off."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_wheel_lock import BOTH, Panel


def events() -> list[Event]:
    """It is locked, steered in vain, unlocked, and pushed while it is steered."""
    panel = Panel(**BOTH).push().move(steering_button=True).move(steering_button=False).push()
    return panel.move(steering_button=True).push().events
