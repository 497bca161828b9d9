"""How a scenario begins: values of the aircraft, switches, legs."""

from __future__ import annotations

from msgspec.structs import replace

from panelbridge.bench.language.actions_file import read_switches, read_values
from panelbridge.bench.language.names import Context, Names
from panelbridge.bench.language.plan import HANDLE
from panelbridge.config.words import quoted
from panelbridge.logic.aircraft_values import put_values
from panelbridge.signals import AircraftState, LegLocks

SIMULATOR_HANDLE = "simulator_handle"
"""Where it stands at the start, the handle of the panel stands too."""
LOCKED = {"up_locked": 0.0, "down_locked": 1.0}
"""Travel of a leg in one of its locks."""


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


def read_legs(context: Context) -> dict[str, float]:
    """Travel of the legs that the scenario puts somewhere; errors are noted."""
    legs: dict[str, float] = {}
    for name in context.keys(("legs",)):
        here, value = ("legs", name), context.get("legs", name)
        if name not in context.names.legs:
            context.no_such(here, "leg", name, context.names.legs, key=True)
        elif context.names.aircraft.authority.legs == "feed":
            what = f"the {name} leg of this aircraft comes from the feed"
            hint = f"Say what its lock switches are: set: {{{name}_up_lock: open}}"
            context.at_key(here, what, hint)
        elif isinstance(value, str):
            good, word = context.word(here, tuple(LOCKED))
            if good:
                legs[name] = LOCKED[str(word)]
        elif (travel := context.limited(here, name, 0.0, 1.0)) is not None:
            legs[name] = travel
    if context.get("legs") == {}:
        what = f"{quoted('legs')} is empty"
        context.at_key(("legs",), what, f"Write {{{context.names.legs[0]}: 0.5}}")
    return legs
