"""The rules of the gear warning as data: what they look at, and what each of them needs."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.logic.rule import Rule


@dataclass(frozen=True, slots=True)
class WarningConditions:
    """All that decides the horn.

    Attributes:
        all_down: every leg is known to be locked down.
        flaps_beyond: the flaps are beyond their limit.
        any_closed: a lever is closed beyond the approach setting.
        silenced: the throttle rule is silenced.
        handle_up_on_ground: a retraction is refused, and the aircraft warns of that.
        inhibited: airspeed or altitude keeps the throttle rule quiet.
        rings_on: every rule has ended, and the horn's shortest time has not.
    """

    all_down: bool
    flaps_beyond: bool
    any_closed: bool
    silenced: bool
    handle_up_on_ground: bool
    inhibited: bool = False
    rings_on: bool = False


FLAPS = "flaps beyond approach and gear not locked down"
THROTTLE = "throttle closed and gear not locked down"
GROUND_HANDLE = "gear handle up on the ground"
RINGS_ON = "shortest time of the horn not over"

_FLAP_RULE = Rule(
    FLAPS,
    (("flaps_beyond", True), ("all_down", False)),
    "sounds the horn, nothing silences it, 14 CFR 23.729(f)(2)",
)
_GROUND_RULE = Rule(
    GROUND_HANDLE,
    (("handle_up_on_ground", True),),
    "sounds the horn, FAA Airplane Flying Handbook ch. 12",
)
_THROTTLE_NEEDS = (("any_closed", True), ("all_down", False))
WARNING_RULES = (
    _FLAP_RULE,
    Rule(THROTTLE, _THROTTLE_NEEDS, "silenced or not, 14 CFR 23.729(f)(1)"),
    _GROUND_RULE,
)
"""When there is something to warn of, the strongest first: what lights the handle."""
SOUNDING_RULES = (
    _FLAP_RULE,
    Rule(
        THROTTLE,
        (*_THROTTLE_NEEDS, ("silenced", False), ("inhibited", False)),
        "sounds the horn until it is silenced, 14 CFR 23.729(f)(1)",
    ),
    _GROUND_RULE,
)
"""When the horn sounds: silence and inhibits act on the throttle rule alone."""
RINGING_RULES = (Rule(RINGS_ON, (("rings_on", True),), "the horn sounds on, MIL-STD-1472E 5.3.4"),)
"""When the horn sounds though no rule asks for it any more."""
