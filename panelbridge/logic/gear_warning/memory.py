"""What the gear warning keeps between updates."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.logic.gear_warning.levers import Levers
from panelbridge.logic.gear_warning.silence import Silence
from panelbridge.logic.gear_warning.sounding import Sounding
from panelbridge.logic.kit.edges import RisingEdge


class GearWarningMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        levers: which levers are closed beyond the approach setting.
        advanced: which are not above the second setting, when that re-arms a silenced horn.
        controls: the silence buttons.
        flaps_beyond: the flaps were last known beyond their limit.
        silence: of the throttle rule.
        horn: how it sounds, and why.
        ground_silenced: the warning of a handle up on the ground is silenced.
    """

    levers: Levers
    advanced: Levers
    controls: tuple[RisingEdge, ...]
    flaps_beyond: bool = False
    silence: Silence = Silence()
    horn: Sounding = Sounding()
    ground_silenced: bool = False
