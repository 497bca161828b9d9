"""What the cold-weather routine publishes."""

from __future__ import annotations

from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.world import Facts


class ColdWeatherFacts(Facts, frozen=True):
    """All that decides its lamps and its horn, and what is shown of it.

    Attributes:
        leave_down: the gear has to stay down: the time after the take-off runs.
        handle_up: the gear handle was last known to be up.
        pump: the brakes have to be pumped with the anti-skid off.
        remind: the anti-skid has to be switched on again.
        left_s: what is left of that time, s, as a function of time.
        pumps_left: how often the brakes still have to be pumped.
        antiskid_on: anti-skid is switched on; None when that was never known.
        word: what the routine asks for.
    """

    leave_down: bool = False
    handle_up: bool = False
    pump: bool = False
    remind: bool = False
    left_s: Line = Line()
    pumps_left: int = 0
    antiskid_on: bool | None = None
    word: str = "off"
