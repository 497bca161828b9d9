"""How a scenario begins: a start condition of the aircraft, and values and switches over it."""

from __future__ import annotations

from dataclasses import replace

from panelbridge.bench.language.actions_file import read_switches, read_values
from panelbridge.bench.language.names import Context, Names
from panelbridge.bench.language.plan import HANDLE
from panelbridge.logic.aircraft_values import put_values
from panelbridge.signals import AircraftState, LegLocks

SIMULATOR_HANDLE = "simulator_handle"
"""Where it stands at the start, the handle of the panel stands too."""


def read_start(context: Context) -> tuple[AircraftState, dict[str, str | float]]:
    """The aircraft and the switches at the start; errors are noted."""
    names, state, handle = context.names, AircraftState(), None
    name = context.source.get(("start",))
    if isinstance(name, str) and name in names.aircraft.starts:
        state = start_state(names, name)
        handle = names.values[SIMULATOR_HANDLE].read(state)
    elif isinstance(name, str):
        context.no_such(("start",), "start condition", name, names.aircraft.starts, key=False)
    state = put_values(context.names.values, state, read_values(context, ("set",)))
    switches: dict[str, str | float] = {}
    if handle is not None and HANDLE in context.names.switches:
        switches[HANDLE] = str(handle)
    return state, switches | read_switches(context, ("switches",))


def start_state(names: Names, start: str) -> AircraftState:
    """The aircraft at the start of this name; the gear is locked where the handle stands."""
    values = names.aircraft.start_values(start)
    state, handle = AircraftState(), values.get(SIMULATOR_HANDLE)
    if names.aircraft.authority.legs == "feed" and handle is not None:
        locks = LegLocks(up_locked=handle == "up", down_locked=handle == "down")
        state = replace(state, leg_locks=tuple(locks for _ in names.legs))
    return put_values(names.values, state, values)
