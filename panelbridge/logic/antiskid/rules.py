"""What lights the lamps of anti-skid, and its words.

That its failure is a caution, amber, and asks for action later, is 14 CFR 23.1322 (Amdt 23-43);
an aircraft file may say red.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelbridge.logic.antiskid.facts import AntiskidFacts, WheelFacts
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.kit.declarations import Lamp
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.signals import Reason

_BEFORE_LANDING = (("gear_down", True), ("in_air", True))
_TESTED = Rule("self-test of anti-skid", (("testing", True),), "lights all its lamps")
REMINDERS = (
    Rule(
        "anti-skid off before landing",
        (("switched_on", False), *_BEFORE_LANDING),
        "lights the caution",
    ),
    Rule(
        "anti-skid without power before landing",
        (("switched_on", True), ("powered", False), *_BEFORE_LANDING),
        "lights the caution",
    ),
)
"""Those that remind."""
_OFF = Rule("anti-skid off", (("switched_on", False),), "lights the caution, on the ground too")
_NOT_WORKING_RULES = (
    Rule(
        "anti-skid on with the parking brake not released",
        (("switched_on", True), ("parked", True)),
        "lights the caution: anti-skid does not work",
    ),
    Rule(
        "anti-skid on with the emergency brake pulled",
        (("switched_on", True), ("by_air", True)),
        "lights the caution: anti-skid does not work",
    ),
)
FAILED = Rule("anti-skid failed on this wheel", (("shown", True),), "lights its lamp")
_WHEEL_RULES = (
    FAILED,
    Rule(
        "anti-skid on with the emergency brake pulled",
        (("running", True), ("by_air", True)),
        "lights its lamp: no anti-skid on this wheel",
    ),
    _TESTED,
)


_PLACES = {"left": "L", "right": "R", "inner": "IN", "outer": "OUT", "front": "F", "rear": "R"}


def antiskid_lamps(parameters: AntiskidParameters, names: Sequence[str]) -> tuple[Lamp, ...]:
    """A lamp for each wheel, in their order; then the one for all."""
    wheels = [
        Lamp(
            f"{name}_antiskid_{parameters.failure_colour}",
            f"anti-skid failed, {name.replace('_', ' ')} wheel",
            _WHEEL_RULES,
            of=_wheel(number),
            legend=f"SKID {_place(name)}",
        )
        for number, name in enumerate(names)
    ]
    off = (_OFF if parameters.off_lamp_on_ground else REMINDERS[0], REMINDERS[1])
    rules = (*off, *_NOT_WORKING_RULES, _TESTED)
    return (
        *wheels,
        Lamp("antiskid_off_amber", "anti-skid off or not working", rules, legend="ANTI-SKID OFF"),
    )


def _place(wheel: str) -> str:
    """A wheel in short: ``L-OUT``."""
    return "-".join(_PLACES.get(word, word.upper()) for word in wheel.split("_"))


def _wheel(number: int) -> Callable[[AntiskidFacts], WheelFacts]:
    return lambda facts: facts.wheels[number]


def antiskid_words(facts: AntiskidFacts) -> Words:
    """The conditions of the whole in words."""
    return {
        "switched_on": (Reason("anti-skid switched on", facts.switched_on),),
        "powered": (Reason("electrical power", facts.powered),),
        "parked": (Reason("parking brake not released", facts.parked),),
        "by_air": (Reason("emergency brake pulled", facts.by_air),),
        "gear_down": (Reason("gear locked down", facts.gear_down),),
        "in_air": (Reason("in the air, or unknown", facts.in_air),),
        "testing": (Reason("self-test of anti-skid", facts.testing),),
    }


def wheel_words(name: str, wheel: WheelFacts) -> Words:
    """The conditions of one wheel in words."""
    return {
        "running": (Reason("anti-skid on and powered", wheel.running),),
        "shown": (Reason(failed_on(name), wheel.shown, wheel.cause),),
        "by_air": (Reason("emergency brake pulled", wheel.by_air),),
        "testing": (Reason("self-test of anti-skid", wheel.testing),),
    }


def failed_on(name: str) -> str:
    """That it failed on a wheel."""
    return f"anti-skid failed on the {name.replace('_', ' ')} wheel"
