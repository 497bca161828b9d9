"""What keeps the throttle rule quiet: airspeed and altitude, with hysteresis.

US Army TM 1-1510-218-10 and TM 55-1510-220-10: a switch on the airspeed keeps the throttle horn
quiet until the aircraft is slower than its setting; an altitude switch inhibits it after a climb
through one height and enables it in a descent through a lower one. Neither touches the light in the
handle or the flap rule. An unknown value does not inhibit: the failure of an inhibit must not block
the warning (14 CFR 25.729(e)(6)); nor does one that is found between its two limits.
"""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, ALTITUDE_FT
from panelbridge.logic.kit.readings import Threshold, below
from panelbridge.logic.kit.world import World
from panelbridge.signals import Reason

Gate = tuple[Threshold, str, str]
"""What inhibits while it is above; the number and its unit in words."""


def gates_of(parameters: GearWarningParameters) -> tuple[Gate, ...]:
    """The gates that an aircraft has."""
    gates: list[Gate] = []
    if (kias := parameters.quiet_from_kias) is not None:
        begins = below(kias + parameters.quiet_hysteresis_kias)
        gates.append((Threshold(AIRSPEED_KIAS, begins, below(kias)), "airspeed", "knots"))
    if (feet := parameters.inhibit_above_ft) is not None:
        ends = below(parameters.enable_below_ft)
        gates.append((Threshold(ALTITUDE_FT, feet, ends), "altitude", "feet"))
    return tuple(gates)


def gate_words(gates: tuple[Gate, ...], world: World) -> Iterator[Reason]:
    """Whether each gate inhibits, with the value and the limit that counts now."""
    for threshold, what, unit in gates:
        name, value = f"{what} inhibits the throttle warning", world[threshold.of]
        if value is None:
            yield Reason(name, False, "unknown: does not inhibit")
            continue
        inhibits = world[threshold] is True
        # Limits are shown as the file has them: a value *at* the setting is on its upper side.
        limit = threshold.off if inhibits else threshold.on
        sign = ">" if value > limit else "<="
        yield Reason(name, inhibits, f"{value:.0f} {sign} {limit:.0f} {unit}")
