"""The values that the landing gear publishes: of each leg, and of all legs together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from panelbridge.logic.gear.doors import DOOR_WORDS
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.gear.parameters import LegParameters
from panelbridge.logic.gear.power import POWER_WORDS
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, LegState, Value

LEG_WORDS = tuple(state.value for state in LegState if state is not LegState.UNKNOWN)
LOCK_WORDS = ("made", "open")
_SELECTION_WORDS = {
    "sel_agreeing": "agreeing",
    "sel_down": "down",
    "sel_up": "up",
    "sel_refused": "refused",
}
_LOCKED_OUT = "locked_out"


def asked(world: World) -> GearPosition | None:
    """What is asked of the simulator: nothing before handle and gear agree, or if it is broken."""
    facts = world[GearFacts]
    return None if facts.is_agreeing or facts.handle_fault else facts.demand


def _asked_word(world: World) -> Value:
    position = asked(world)
    return "none" if position is None else position.value


def _gear(facts: GearFacts) -> Value:
    if any(leg.state is LegState.UNKNOWN for leg in facts.legs):
        return None
    if all(leg.is_up for leg in facts.legs):
        return "locked_up"
    return "locked_down" if all(leg.is_down for leg in facts.legs) else "not_locked"


def _selection(facts: GearFacts) -> Value:
    return _LOCKED_OUT if facts.locked_out else _SELECTION_WORDS[facts.selection]


def _lock(made: bool | None) -> Value:
    return None if made is None else LOCK_WORDS[not made]


def _moving(travel: Line | None) -> Line | None:
    return travel if travel is not None and travel.rate else None


def _word(
    name: str,
    label: str,
    read: Callable[[GearFacts], Value],
    words: tuple[str, ...],
    group: str = "system",
) -> Signal:
    return Signal(name, "word", label, lambda w: read(w[GearFacts]), words=words, group=group)


def _leg(place: int, leg: str) -> list[Signal]:
    def of(facts: GearFacts) -> LegFacts:
        return facts.legs[place]

    def state(facts: GearFacts) -> Value:
        found = of(facts).state
        return None if found is LegState.UNKNOWN else found.value

    def travel(world: World) -> Value:
        line = of(world[GearFacts]).travel
        return None if line is None else line.at(world.now_s)

    spoken = leg.replace("_", " ")
    up, down = f"up-lock switch of the {spoken} leg", f"down-lock switch of the {spoken} leg"
    return [
        _word(f"{leg}_leg", f"{spoken} leg", state, LEG_WORDS, "leg"),
        Signal(
            f"{leg}_travel",
            "number",
            f"travel of the {spoken} leg, 0 up to 1 down",
            travel,
            low=0.0,
            high=1.0,
            curve=lambda world: _moving(of(world[GearFacts]).travel),
            group="leg",
        ),
        _word(f"{leg}_up_lock", up, lambda f: _lock(of(f).locks.up_locked), LOCK_WORDS, "leg"),
        _word(
            f"{leg}_down_lock", down, lambda f: _lock(of(f).locks.down_locked), LOCK_WORDS, "leg"
        ),
    ]


def _door(leg: str) -> Signal:
    words = leg.replace("_", " ")
    signal = _word(
        f"{leg}_door",
        f"door of the {words} leg",
        lambda facts: dict(facts.doors)[leg],
        DOOR_WORDS,
    )
    return replace(signal, short=f"{words} door")


def gear_values(legs: Sequence[LegParameters], *, own_legs: bool) -> tuple[Signal, ...]:
    """The values of a gear.

    Args:
        legs: its legs.
        own_legs: legs, doors and power are of the model, not of the feed.
    """
    values = [one for place, leg in enumerate(legs) for one in _leg(place, leg.name)]
    locked = ("locked_up", "locked_down", "not_locked")
    values += [
        _word("gear", "all legs together", _gear, locked, "gear"),
        Signal(
            "gear_command",
            "word",
            "what is asked of the simulator's gear",
            _asked_word,
            words=("up", "down", "none"),
            group="gear",
            never_unknown=True,
        ),
        Signal(
            "gear_agrees",
            "yes_no",
            "the gear is where the handle stands",
            lambda world: world[GearFacts].agrees,
            group="gear",
            never_unknown=True,
        ),
        _word(
            "gear_selection",
            "gear selection",
            _selection,
            (*_SELECTION_WORDS.values(), _LOCKED_OUT),
        ),
    ]
    if own_legs:
        values += [_door(leg.name) for leg in legs if leg.door is not None]
        values.append(
            _word("gear_power", "power of the gear", lambda facts: facts.power, POWER_WORDS)
        )
    return tuple(values)
