"""The numbers of the handle lock."""

from __future__ import annotations

from panelbridge.logic.gear.parameters import LegName
from panelbridge.logic.kit.parameters import Parameters


class HandleLockParameters(Parameters):
    """The lock of the gear handle."""

    leg: LegName | None = None
    """The leg whose strut locks the handle while it carries weight, often the right one; null for a
    handle without a lock."""
    # US Army TM 55-1510-222-10 has the right one.
