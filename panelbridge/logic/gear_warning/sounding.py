"""From what the rules ask of the horn to what it does: a shortest time of sounding.

MIL-STD-1472E 5.3.4 asks that a signal lasts half a second at least; 14 CFR 25.1322(a) that an alert
is removed when its condition no longer exists. The regulation outweighs the standard, so a horn
stops with its condition unless the aircraft file asks for a shortest time. Where it does, the horn
rings on until then; nothing is latched, and the lamps go out at once. A press of the silence button
and the gear locked down end it always: a horn never outlasts its silencing, nor sounds for a gear
that is down. Only a warning of the handle, which is given with the gear down, rings on then.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from panelbridge.logic.gear_warning.rules import GROUND_HANDLE
from panelbridge.logic.kit.declarations import HornRule, loudest
from panelbridge.signals import HornPattern

SILENT = HornPattern.SILENT


class Sounding(Struct, frozen=True):
    """The horn.

    Attributes:
        pattern: how it sounds.
        causes: the rules that sound it.
        last_causes: the last ones that did.
        until_s: it rings on at most until then, s.
        rings_on: it sounds only because its shortest time is not over.
    """

    pattern: HornPattern = SILENT
    causes: tuple[str, ...] = ()
    last_causes: tuple[str, ...] = ()
    until_s: float = 0.0
    rings_on: bool = False

    def take(
        self,
        now_s: float,
        rules: Sequence[HornRule],
        shortest_s: float,
        *,
        pressed: bool,
        all_down: bool,
    ) -> Sounding:
        """The horn now.

        Args:
            now_s: seconds.
            rules: those that hold.
            shortest_s: time that it sounds at least, s.
            pressed: a silence button was pressed while it sounds.
            all_down: the gear is locked down.
        """
        causes = tuple([one.rule.name for one in rules])
        last_causes, until_s = causes or self.last_causes, self.until_s
        if causes and not self.causes:
            until_s = now_s + shortest_s
        # A press counts for a rule that it does not silence too: the horn stops with that rule.
        if pressed or (all_down and GROUND_HANDLE not in last_causes):
            until_s = min(until_s, now_s)
        rings_on = not causes and self.pattern is not SILENT and now_s < until_s
        pattern = self.pattern if rings_on else loudest([one.pattern for one in rules])
        return Sounding(pattern, causes, last_causes, until_s, rings_on)
