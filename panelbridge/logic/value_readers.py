"""Which systems read which of the aircraft's values: what suffers when a feed gives none.

The generic step notes what each update reads. A few situations are stepped through, and what was
read in any of them is the answer: no list has to be kept.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import AircraftValue, put_values, values_of
from panelbridge.logic.inputs import PanelInputs
from panelbridge.logic.kit.handles import Handle, HandleSwitch, Lever
from panelbridge.logic.kit.readings import Reading
from panelbridge.logic.kit.system import System
from panelbridge.logic.missing_data.system import MissingData
from panelbridge.logic.systems import make_systems
from panelbridge.logic.vocabulary import switches_of
from panelbridge.signals import AircraftState, HandleContacts, SwitchState, Value

_UNKNOWN_IS_USUAL = ("simulation", "simulation_rate", "bus_power")
"""Values of which unknown counts as what they usually are: nothing suffers."""
_STEP_S = 30.0


def readers_of(aircraft: AircraftParameters) -> Mapping[str, tuple[str, ...]]:
    """The systems that read each value, in words; none for a value that nothing reads."""
    systems, values = make_systems(aircraft), values_of(aircraft)
    inputs = PanelInputs(systems, aircraft)
    names: dict[Handle[Any], list[str]] = {}
    for name, value in values.items():
        if name not in _UNKNOWN_IS_USUAL:
            names.setdefault(value.cell, []).append(name)
    found: dict[str, dict[str, None]] = {name: {} for name in values}
    for place, (switches, state) in enumerate(_situations(systems, values)):
        inputs.take(switches, state)
        inputs.step.look(place * _STEP_S)
        for system in systems:
            if isinstance(system, MissingData):  # it reads only whether they are known
                continue
            for key in (*inputs.step.read_by(system), *system.readings):
                cell = key.of if isinstance(key, Reading) else key
                for name in names.get(cell, ()):
                    found[name].setdefault(words_for(system))
    return {name: tuple(readers) for name, readers in found.items()}


def words_for(system: System[Any]) -> str:
    """A system's section of the screen, or its class's name in words."""
    return (system.title or re.sub(r"(?<!^)(?=[A-Z])", " ", type(system).__name__)).lower()


def _situations(
    systems: tuple[System[Any], ...], values: Mapping[str, AircraftValue]
) -> Iterator[tuple[SwitchState, AircraftState]]:
    """On the ground and in the air, levers at both ends, switches at rest and operated."""
    switches = switches_of(systems)
    for handle in (HandleContacts.DOWN, HandleContacts.UP):
        for operated in (False, True):
            positions: dict[str, Any] = {}
            for name, switch in switches.items():
                if isinstance(switch, HandleSwitch):
                    positions[name] = handle
                else:
                    positions[name] = float(operated) if isinstance(switch, Lever) else operated
            for first_word in (True, False):
                for part in (0.1, 0.6):
                    given = {n: _value(one, part, first_word) for n, one in values.items()}
                    state = put_values(values, AircraftState(), given)
                    yield SwitchState(**positions), state


def _value(one: AircraftValue, part: float, first_word: bool) -> Value:
    if one.form == "word":
        return "running" if one.name == "simulation" else one.words[not first_word]
    return 1.0 if one.name == "simulation_rate" else one.low + (one.high - one.low) * part
