"""What the emergency extension shows: its lamps and their words, its values, its gauge."""

from __future__ import annotations

from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Gauge, Lamp, Signal
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.world import World
from panelbridge.signals import Reason

# Source: US Army TM 1-1510-224-10.
_EXTENDED = Rule(
    "gear extended by emergency and not reset",
    (("extended", True),),
    "the gear cannot be retracted until the reset",
)
_AIR_LOW = Rule("emergency air low", (("air_low", True),), "lights the caution")
_LOCKED_OUT_LAMP = Lamp(
    "retract_locked_out_amber",
    "gear locked out after an emergency extension",
    (_EXTENDED,),
    legend="LOCKED OUT",
)


def emergency_lamps(parameters: EmergencyParameters) -> tuple[Lamp, ...]:
    """Its lamps; only a bottle can be low."""
    if parameters.means != "air":
        return (_LOCKED_OUT_LAMP,)
    return (
        Lamp("air_low_amber", "emergency air low", (_AIR_LOW,), legend="AIR LOW"),
        _LOCKED_OUT_LAMP,
    )


def emergency_values(parameters: EmergencyParameters) -> tuple[Signal, ...]:
    """Its state; the pressure of the bottle, the strokes of the pump or the turns of the crank."""
    state = Signal(
        *("emergency_extension", "word", "emergency extension"),
        lambda world: "extended" if world[EmergencyFacts].extended else "stowed",
        words=("stowed", "extended"),
        never_unknown=True,
    )
    if parameters.means == "air":
        return (
            Signal(
                *("emergency_air_psi", "number", "emergency air", _air_psi, "psi"),
                low=0.0,
                high=parameters.bottle_full_psi,
                curve=_air,
            ),
            state,
        )
    if parameters.means == "hand_crank":
        turns = float(parameters.crank_turns)
        left = Signal(
            *("crank_turns_left", "number", "turns of the hand crank left"),
            lambda world: max(turns - world[EmergencyFacts].strokes, 0.0),
            low=0.0,
            high=turns,
        )
        return (state, left)
    strokes = Signal(
        *("hand_pump_strokes", "number", "strokes of the hand pump"),
        lambda world: float(world[EmergencyFacts].strokes),
        low=0.0,
    )
    return (state, strokes) if parameters.means == "hand_pump" else (state,)


def emergency_gauges(parameters: EmergencyParameters) -> tuple[Gauge, ...]:
    """The gauge of the bottle."""
    if parameters.means != "air":
        return ()
    return (Gauge("emergency_air", "emergency air", "psi", 10.0, _air_psi, _air),)


def emergency_words(world: World, parameters: EmergencyParameters) -> Words:
    """The conditions of its lamps in words."""
    facts, low_psi = world[EmergencyFacts], parameters.bottle_low_psi
    detail = f"at {_air_psi(world):.0f} psi, limit {low_psi:.0f} psi"
    return {
        "extended": (Reason("emergency extension not reset", facts.extended),),
        "air_low": (Reason("emergency air low", facts.air_low, detail),),
    }


def _air(world: World) -> Line:
    return world[EmergencyFacts].air


def _air_psi(world: World) -> float:
    return world[EmergencyFacts].air.at(world.now_s)
