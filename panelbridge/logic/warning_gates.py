"""What keeps the throttle rule of the gear warning quiet: airspeed and altitude, with hysteresis.

US Army TM 1-1510-218-10 and TM 55-1510-220-10: a switch on the airspeed keeps the throttle horn
quiet until the aircraft is slower than its setting; an altitude switch inhibits it after a climb
through one height and enables it in a descent through a lower one. Neither touches the light in the
handle or the flap rule. An unknown value does not inhibit: the failure of an inhibit must not block
the warning (14 CFR 25.729(e)(6)); nor does one that is found between its two limits.
"""

from __future__ import annotations

from math import inf, isnan

from panelbridge.logic.bands import Bands, below
from panelbridge.signals import Reason


class InhibitGate(Bands):
    """One number that inhibits while it is high.

    In every step call ``take``; only when that is True, ``judge``.

    Args:
        what: the number, in words: ``airspeed``.
        unit: its unit, in words.
        begins_above: the inhibit begins above this; None for a gate that never inhibits.
        ends_at: the inhibit ends at or below this; no greater than ``begins_above``.
    """

    def __init__(
        self, what: str, unit: str, begins_above: float | None, ends_at: float | None
    ) -> None:
        self._what, self._unit = what, unit
        self._is_used = begins_above is not None
        self._begins_above = inf if begins_above is None else begins_above
        self._ends_at = inf if ends_at is None else ends_at
        super().__init__((self._begins_above, self._ends_at) if self._is_used else ())
        self.inhibits = False
        """It inhibits now."""

    @property
    def calm(self) -> tuple[float, float]:
        """Above the first number and up to the second one ``inhibits`` does not change."""
        return (self._ends_at, inf) if self.inhibits else (-inf, self._begins_above)

    def judge(self) -> bool:
        """Decide anew after the number has left its band; True when ``inhibits`` has changed."""
        before, value = self.inhibits, self.value
        if value is None or value <= self._ends_at:
            self.inhibits = False
        elif value > self._begins_above:
            self.inhibits = True
        return self.inhibits is not before

    def told(self, value: float | None) -> tuple[Reason, ...]:
        """Whether it inhibits, with the value and the limit that counts now; none if not used."""
        if not self._is_used:
            return ()
        name = f"{self._what} inhibits the throttle warning"
        if value is None or isnan(value):
            return (Reason(name, False, "unknown: does not inhibit"),)
        # Limits are shown as the file has them: a value *at* the setting is on its upper side.
        limit = self._ends_at if self.inhibits else self._begins_above
        sign = ">" if value > limit else "<="
        return (Reason(name, self.inhibits, f"{value:.0f} {sign} {limit:.0f} {self._unit}"),)


def airspeed_gate(quiet_from_kias: float | None, hysteresis_kias: float) -> InhibitGate:
    """A gate that ends below its setting, and begins again at the setting plus the hysteresis.

    Args:
        quiet_from_kias: the setting, knots; None = the airspeed inhibits nothing.
        hysteresis_kias: knots.
    """
    if quiet_from_kias is None:
        return InhibitGate("airspeed", "knots", None, None)
    begins = below(quiet_from_kias + hysteresis_kias)
    return InhibitGate("airspeed", "knots", begins, below(quiet_from_kias))


def altitude_gate(inhibit_above_ft: float | None, enable_below_ft: float) -> InhibitGate:
    """A gate that begins above one height, and ends below a lower one.

    Args:
        inhibit_above_ft: feet; None = the altitude inhibits nothing.
        enable_below_ft: feet.
    """
    if inhibit_above_ft is None:
        return InhibitGate("altitude", "feet", None, None)
    return InhibitGate("altitude", "feet", inhibit_above_ft, below(enable_below_ft))
