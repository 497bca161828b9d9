"""The rules of the gear warning as data: what they look at, and what each of them needs."""

from __future__ import annotations

from panelbridge.logic.gear_warning.facts import WarningFacts
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.kit.declarations import HornRule
from panelbridge.logic.kit.rule import Rule
from panelbridge.signals import HornPattern

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
    "lights the handle, silenced or not, FAA Airplane Flying Handbook ch. 12",
)
_THROTTLE_NEEDS = (("any_closed", True), ("all_down", False))
WARNING_RULES = (
    _FLAP_RULE,
    Rule(THROTTLE, _THROTTLE_NEEDS, "lights the handle, silenced or not, 14 CFR 23.729(f)(1)"),
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
    Rule(
        GROUND_HANDLE,
        (("handle_up_on_ground", True), ("ground_silenced", False)),
        "sounds the horn until it is silenced, FAA Airplane Flying Handbook ch. 12",
    ),
)
"""When the horn sounds: nothing silences the flap rule; inhibits act on the throttle rule alone."""
RINGING_RULE = Rule(RINGS_ON, (("rings_on", True),), "keeps the horn on, MIL-STD-1472E 5.3.4")
"""When the horn sounds though no rule asks for it any more."""


def horn_rules(parameters: GearWarningParameters) -> tuple[HornRule, ...]:
    """How each rule sounds in an aircraft, the strongest first."""
    patterns = (
        parameters.flap_pattern,
        parameters.throttle_pattern,
        parameters.ground_handle_pattern,
    )
    pairs = zip(SOUNDING_RULES, patterns, strict=True)
    return tuple([HornRule(rule, HornPattern(pattern)) for rule, pattern in pairs])


def warning_causes(facts: WarningFacts) -> tuple[str, ...]:
    """Rules whose condition holds, silenced or not, the strongest first."""
    return tuple([rule.name for rule in WARNING_RULES if rule.holds(facts)])
