"""What the gear warning publishes."""

from __future__ import annotations

from panelbridge.logic.kit.handles import Button
from panelbridge.logic.kit.world import Facts
from panelbridge.signals import HornPattern

HORN_SILENCE = Button(
    "horn_silence", "horn silence", "Button that silences the gear warning horn.", required=True
)
LEVER_HORN_SILENCE = Button(
    "lever_horn_silence",
    "horn silence on the throttle lever",
    "Button on the throttle lever that silences the gear warning horn.",
)
CONTROLS = {one.name: one for one in (HORN_SILENCE, LEVER_HORN_SILENCE)}
"""The buttons that can silence the horn, by name."""


class WarningFacts(Facts, frozen=True):
    """What decides the horn and the light in the handle.

    Attributes:
        all_down: every leg is known to be locked down.
        flaps_beyond: the flaps are beyond their limit.
        any_closed: a lever is closed beyond the approach setting.
        silenced: the throttle rule is silenced.
        handle_up_on_ground: a retraction is refused, and the aircraft warns of that.
        ground_silenced: that warning is silenced.
        inhibited: airspeed or altitude keeps the throttle rule quiet.
        rings_on: every rule has ended, and the horn's shortest time has not.
        pattern: how the horn sounds for it.
    """

    all_down: bool = True
    flaps_beyond: bool = False
    any_closed: bool = False
    silenced: bool = False
    handle_up_on_ground: bool = False
    ground_silenced: bool = False
    inhibited: bool = False
    rings_on: bool = False
    pattern: HornPattern = HornPattern.SILENT
