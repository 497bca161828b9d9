"""What the speed limits publish."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class SpeedFacts(Facts, frozen=True):
    """All that decides the caution, and what is shown of it.

    Attributes:
        extending: the gear is on its way down, or asked to be, and not locked down.
        retracting: the gear is on its way up, or asked to be, and not locked up.
        gear_out: some leg is not known to be locked up.
        above_vlo_extend: VLO to extend holds now, and the airspeed is above it.
        above_vlo_retract: the same of VLO to retract.
        above_vle: the same of VLE.
        limit_kias: the lowest limit that holds now, knots; None while none does.
        highest_kias: highest airspeed of the exceedance that is, or of the last one, knots.
    """

    extending: bool = False
    retracting: bool = False
    gear_out: bool = False
    above_vlo_extend: bool = False
    above_vlo_retract: bool = False
    above_vle: bool = False
    limit_kias: float | None = None
    highest_kias: float | None = None
