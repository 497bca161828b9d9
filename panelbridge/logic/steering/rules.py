"""The rules of the nose-wheel steering, and their conditions in words."""

from __future__ import annotations

from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.steering.parameters import SteeringParameters
from panelbridge.signals import Reason

ENGAGED = Rule(
    "steering button held on the ground with the leg locked down",
    (
        ("held", True),
        ("rising_edge", True),
        ("has_weight", True),
        ("leg_down", True),
        ("available", True),
        ("powered", True),
        ("wheel_free", True),
    ),
    "engages the steering",
)
# Source: US Army TM 1-1510-253-CL.
REFUSED = Rule(
    "steering button held after an emergency extension",
    (("held", True), ("available", False)),
    "refused until the emergency extension is reset",
)
UNPOWERED = Rule(
    "steering button held without power",
    (("held", True), ("powered", False)),
    "not engaged until the power is back",
)
LOCKED = Rule(
    "steering button held while the wheel is locked",
    (("held", True), ("wheel_free", False)),
    "refused until the wheel is unlocked and the button pressed again",
)


def steering_words(facts: SteeringFacts, parameters: SteeringParameters) -> Words:
    """The conditions in words."""
    leg = (parameters.steering_leg or "").replace("_", " ")
    needs = {
        "hydraulic pressure": parameters.needs_hydraulics,
        "electrical power": parameters.needs_bus,
    }
    words = [name for name, needed in needs.items() if needed]
    return {
        "held": (Reason("steering button held", facts.held),),
        "rising_edge": (Reason("steering button released before this press", facts.rising_edge),),
        "has_weight": (Reason(f"weight on the {leg} strut", facts.has_weight),),
        "leg_down": (Reason(f"{leg} leg locked down", facts.leg_down),),
        "available": (Reason("no emergency extension in effect", facts.available),),
        "powered": (
            Reason(
                "power for the steering", facts.powered, f"needs {' and '.join(words) or 'none'}"
            ),
        ),
        "wheel_free": (Reason(f"{leg} wheel not locked", facts.wheel_free),),
    }
