"""What the emergency extension publishes."""

from __future__ import annotations

from typing import Literal

from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.world import Facts

Means = Literal["air", "free_fall", "hand_pump", "hand_crank"]
"""What drives the legs in an emergency."""
BY_HAND: tuple[Means, ...] = ("hand_pump", "hand_crank")
"""Those that drive them only while a hand works."""


class EmergencyFacts(Facts, frozen=True):
    """The emergency extension and its bottle.

    Attributes:
        extended: an emergency extension was begun and not reset: nothing may retract the gear, and
            the nose wheel cannot be steered.
        means: what the legs are extended by; None while there is no emergency extension. A hand
            pump or crank drives them only while ``stroke``; the others drive them all the time.
        stroke: a stroke of the hand pump, or a turn of the crank, drives the legs now.
        strokes: strokes of the hand pump or turns of the crank since the extension was begun.
        air: pressure of the bottle as a function of time, psi.
        has_air: the bottle has pressure enough to move the gear or the emergency brake.
        air_low: the bottle is at or below its low pressure.
    """

    extended: bool = False
    means: Means | None = None
    stroke: bool = False
    strokes: int = 0
    air: Line = Line()
    has_air: bool = False
    air_low: bool = False
