"""What the night light publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class NightLightFacts(Facts, frozen=True):
    """What lights it.

    Attributes:
        night: the night switch is on; unknown is day.
        turned_down: the dimmer knob is at or below its limit; unknown is not.
    """

    night: bool = False
    turned_down: bool = False
