"""What the warning of a landing with the parking brake set publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class LandingBrakeFacts(Facts, frozen=True):
    """All that decides its lamp and its horn.

    Attributes:
        in_air: the aircraft was last known to be in the air.
        gear_down: it is, and every leg is known to be locked down.
        parked: they are, and the parking brake is not released.
    """

    in_air: bool = False
    gear_down: bool = False
    parked: bool = False
