"""Every signal by name: the one list that files, bench, timelines, recordings and screens use.

It is built from the declarations of the systems, their switches and lamps, and the dictionary of
the aircraft's values. What reads a signal is a *world*: the cells of the logic at one instant.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import AircraftValue, values_of
from panelbridge.logic.kit.declarations import Lamp, Signal
from panelbridge.logic.kit.handles import HandleSwitch, Lever, OneContact, Switch
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import OVER_LAMPS, ShownFacts
from panelbridge.signals import HandleContacts, HornPattern, Value

HANDLE_WORDS = tuple(word.value for word in HandleContacts if word is not HandleContacts.UNKNOWN)
LAMP_WORDS = ("lit", "dark")
HORN_WORDS = tuple(word.value for word in HornPattern)
GROUPS = ("aircraft", "switch", "lamp", "horn", "leg", "gear", "system")
"""Groups of signals, in the order in which they are listed."""
READABLE_GROUPS = ("aircraft", "switch", "leg", "gear", "system")
"""What a lamp of the builder's own may depend on."""


def signals_of(
    values: Mapping[str, AircraftValue], systems: Sequence[System[Any]]
) -> Mapping[str, Signal]:
    """Every signal of an aircraft and a panel, by name, group by group.

    Args:
        values: the aircraft's values.
        systems: its systems, in their order.
    """
    found = [value.signal for value in values.values()]
    found += [_switch(switch) for switch in switches_of(systems).values()]
    for lamp in lamps_of(systems).values():
        found += _lamp(lamp)
    found += _panel()
    found += [signal for system in systems for signal in system.values]
    found.sort(key=lambda signal: GROUPS.index(signal.group))
    # A lock switch that the feed gives is both a value and a signal of its leg: the leg's counts.
    return {signal.name: signal for signal in found}


def readable_signals_of(
    names: Collection[str], aircraft: AircraftBase, systems: Sequence[System[Any]]
) -> Mapping[str, Signal]:
    """Those of ``names`` that a lamp of the builder's own may read, made without the others.

    Args:
        names: of signals; those of lamps and of the horn are left out, for they come after it.
        aircraft: the aircraft file.
        systems: the systems before it, in their order.
    """
    switches = (*switches_of(systems).values(), *OVER_LAMPS)
    found = [value.signal for value in values_of(aircraft, names).values()]
    found += [_switch(one) for one in switches if one.name in names]
    found += [signal for system in systems for signal in system.values if signal.name in names]
    return {signal.name: signal for signal in found if signal.group in READABLE_GROUPS}


def switches_of(systems: Sequence[System[Any]]) -> Mapping[str, Switch[Any]]:
    """Every switch that the systems read, by name."""
    return {switch.name: switch for system in systems for switch in system.switches}


def lamps_of(systems: Sequence[System[Any]]) -> Mapping[str, Lamp]:
    """Every lamp of the systems, by name; of one that several declare, the first."""
    found: dict[str, Lamp] = {}
    for system in systems:
        for lamp in system.lamps:
            found.setdefault(lamp.name, lamp)
    return found


def _switch(switch: Switch[Any]) -> Signal:
    if isinstance(switch, HandleSwitch):
        return Signal(
            switch.name, "word", switch.label, _contacts(switch), words=HANDLE_WORDS, group="switch"
        )
    if isinstance(switch, Lever):
        label = f"{switch.label}, {switch.ends}"
        return Signal(
            *(switch.name, "number", label, lambda world: world[switch.reported]),
            low=0.0,
            high=1.0,
            cell=switch.reported,
            group="switch",
        )
    assert isinstance(switch, OneContact)
    free, operated = switch.words

    def position(world: World) -> Value:
        on = world[switch.reported]
        return None if on is None else operated if on else free

    words = (operated, free)
    return Signal(switch.name, "word", switch.label, position, words=words, group="switch")


def _contacts(switch: HandleSwitch) -> Any:
    def read(world: World) -> Value:
        contacts = world[switch]
        return None if contacts in (None, HandleContacts.UNKNOWN) else contacts.value

    return read


def _lamp(lamp: Lamp) -> Iterator[Signal]:
    name, label = lamp.name, f"lamp: {lamp.label}"

    def lit(world: World) -> Value:
        return LAMP_WORDS[not world[ShownFacts].brightness(name)]

    def bright(world: World) -> Value:
        return float(world[ShownFacts].brightness(name))

    yield Signal(
        *(name, "word", label, lit), words=LAMP_WORDS, group="lamp", never_unknown=True, output=name
    )
    yield Signal(
        *(f"{name}_brightness", "number", f"{label}, 0 dark to 255", bright),
        low=0.0,
        high=255.0,
        group="lamp",
        never_unknown=True,
        output=name,
    )


def _panel() -> Iterator[Signal]:
    def horn(world: World) -> Value:
        return world[ShownFacts].outputs.horn.value

    def sounding(world: World) -> Value:
        return world[ShownFacts].outputs.horn is not HornPattern.SILENT

    def failure(world: World) -> Value:
        return bool(world[ShownFacts].failures)

    yield Signal(
        *("horn", "word", "gear warning horn", horn),
        words=HORN_WORDS,
        group="horn",
        never_unknown=True,
        output="horn",
    )
    yield Signal(
        *("horn_sounding", "yes_no", "the horn sounds", sounding),
        group="horn",
        never_unknown=True,
        output="horn",
    )
    yield Signal(
        "fault_shown", "yes_no", "a fault is shown", failure, group="gear", never_unknown=True
    )
