"""Anti-skid."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_antiskid import FAST, flying, rolling


def events() -> list[Event]:
    """A failure, the reminder, a self-test, a locked wheel, a shut-down, brakes free by time."""
    skid = rolling()
    skid.after(1.0, speeds=(500.0, 0.0, 500.0, 500.0))
    skid.fault("left_outer_antiskid", "failed")
    skid.after(1.0, switch=False, left_on_ground=False, right_on_ground=False, in_air=True)
    skid.after(1.0, switch=True)
    skid.after(60.0)
    wet = flying(dump_limit_s=2.0)
    wet.after(1.0, left_on_ground=True, right_on_ground=True)
    wet.after(60.0, speeds=FAST)
    wet.after(1.0, speeds=(500.0, 0.0, 500.0, 500.0))
    wet.after(60.0, switch=False)
    wet.after(1.0, switch=True)
    return [*skid.events, *wet.events]
