"""How a scenario begins: a start condition of the aircraft, and values and switches over it."""

from __future__ import annotations

from dataclasses import replace

from panelbridge.bench.language.actions_file import read_switches, read_values
from panelbridge.bench.language.names import Names
from panelbridge.bench.language.plan import HANDLE
from panelbridge.bench.language.reading_context import Desk
from panelbridge.config.aircraft_file import StartCondition
from panelbridge.logic.aircraft_values import put_values
from panelbridge.signals import AircraftState, LegLocks, Value


def read_start(desk: Desk) -> tuple[AircraftState, dict[str, str | float]]:
    """The aircraft and the switches at the start; mistakes are noted on ``desk``."""
    state, handle = _condition(desk)
    state = put_values(desk.names.values, state, read_values(desk, ("set",)))
    switches: dict[str, str | float] = {}
    if handle is not None and HANDLE in desk.names.switches:
        switches[HANDLE] = handle
    return state, switches | read_switches(desk, ("switches",))


def start_state(names: Names, start: StartCondition) -> AircraftState:
    """The aircraft at a start condition; the gear is locked where the handle stands."""
    values: dict[str, Value] = dict.fromkeys(names.values)
    for name in StartCondition.model_fields:
        value = getattr(start, name)
        if name == HANDLE:
            values["simulator_handle"] = value
        else:
            values.update(dict.fromkeys(names.sets_of_values.get(name, (name,)), value))
    # An aircraft without engines has no levers for the value that stands for all of them.
    values = {name: value for name, value in values.items() if name in names.values}
    state = put_values(names.values, AircraftState(), values)
    if names.aircraft.authority.legs == "feed" and start.gear_handle is not None:
        up = start.gear_handle == "up"
        locks = LegLocks(up_locked=up, down_locked=not up)
        state = replace(state, leg_locks=tuple(locks for _ in names.legs))
    return state


def _condition(desk: Desk) -> tuple[AircraftState, str | None]:
    """The start condition, and where the handle stands if it says so."""
    names = desk.names
    name = desk.source.get(("start",))
    if isinstance(name, str):
        if name in names.aircraft.starts:
            start = names.aircraft.starts[name]
            return start_state(names, start), start.gear_handle
        desk.no_such(("start",), "start condition", name, names.aircraft.starts, key=False)
    return put_values(names.values, AircraftState(), dict.fromkeys(names.values)), None
