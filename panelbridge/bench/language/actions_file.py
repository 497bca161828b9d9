"""Actions of a scenario file: what a step does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from panelbridge.bench.language.names import Context
from panelbridge.bench.language.plan import (
    ALL,
    HANDLE,
    Action,
    ClearFault,
    FaultKind,
    MoveSwitch,
    RampValues,
    SetFault,
    SetValues,
)
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, place_name
from panelbridge.logic.aircraft_values import AircraftValue
from panelbridge.logic.switches import BUTTON, operated_first
from panelbridge.signals import Value

RELEASED, PRESSED = BUTTON
BOUNCING_S = 0.1
"""How long a bouncing contact rattles when the scenario does not say, s."""
LONGEST_BOUNCING_S = 10.0


def read_actions(context: Context, path: KeyPath) -> tuple[Action, ...]:
    """The actions of the step at ``path``, in the order in which they are written."""
    actions: list[Action] = []
    for key in context.keys(path):
        if key in _READERS and context.source.get((*path, key)) is not None:
            actions.extend(_READERS[key](context, (*path, key)))
    return tuple(actions)


def read_values(context: Context, path: KeyPath) -> dict[str, Value]:
    """Aircraft values by name; a name for several stands for each of them."""
    values: dict[str, Value] = {}
    for spec, here in _each_value(context, path):
        good, value = context.value(here, spec)
        if good:
            values[spec.name] = value
    return values


def read_switches(context: Context, path: KeyPath) -> dict[str, str | float]:
    """Positions of switches by name."""
    positions: dict[str, str | float] = {}
    for name in context.keys(path):
        here = (*path, name)
        if context.names.is_lever(name) and name in context.names.switches:
            number = context.limited(here, name, 0.0, 1.0)
            if number is not None:
                positions[name] = number
        elif name in context.names.switches:
            words = context.names.handle_positions
            if name != HANDLE:
                words = operated_first(name, context.names.declared)
            good, word = context.word(here, words)
            if good:
                positions[name] = str(word)
        elif name in context.names.values or name in context.names.sets_of_values:
            what = f"{quoted(name)} is a value of the aircraft, and cannot be moved"
            context.at_key(here, what, "Write it under 'set:'")
        else:
            context.no_such(here, "switch", name, context.names.switches, key=True)
    return positions


def _each_value(context: Context, path: KeyPath) -> Iterator[tuple[AircraftValue, KeyPath]]:
    values, groups = context.names.values, context.names.sets_of_values
    for name in context.keys(path):
        here = (*path, name)
        if name in groups:
            before = len(context.problems)
            for member in groups[name]:
                yield values[member], here
                if len(context.problems) > before:
                    break  # the others would say the same
        elif name in values:
            yield values[name], here
        elif name in context.names.switches:
            what = f"{quoted(name)} is a switch of the panel, and is not set but moved"
            hint = "Write it under 'move:'"
            if name == HANDLE:
                hint += "; the handle of the simulator is 'simulator_handle'"
            context.at_key(here, what, hint)
        elif name in context.names.signals:
            what = f"{quoted(name)} can be expected, and not set"
            context.at_key(here, what, "It follows from the logic: set what it depends on")
        else:
            context.no_such(here, "aircraft value", name, (*values, *groups), key=True)


def _set(context: Context, path: KeyPath) -> Iterator[Action]:
    values = read_values(context, path)
    if values:
        yield SetValues(values)


def _ramp(context: Context, path: KeyPath) -> Iterator[Action]:
    targets: dict[str, float] = {}
    for spec, here in _each_value(context, (*path, "to")):
        if spec.form != "number":
            what = f"{quoted(spec.name)} is no number, and has nothing between its words"
            context.at_key(here, what, "Write it under 'set:'")
            continue
        number = context.limited(here, spec.name, spec.low, spec.high)
        if number is not None:
            targets[spec.name] = number
    if context.get(*path, "to") == {}:
        context.at_key((*path, "to"), f"{place_name((*path, 'to'))} is empty", "Name a value")
    over_s = context.number(*path, "over_s")
    if targets and over_s is not None:
        yield RampValues(targets, over_s)


def _move(context: Context, path: KeyPath) -> Iterator[Action]:
    for name, position in read_switches(context, path).items():
        yield MoveSwitch(name, position)


def read_buttons(context: Context, path: KeyPath) -> list[str]:
    """The buttons at ``path``."""
    buttons = []
    for here, name in context.texts(path):
        if name in context.names.buttons:
            buttons.append(name)
        elif name in context.names.switches:
            what = f"{quoted(name)} is no button"
            context.at_value(here, what, f"Write 'move: {{{name}: ...}}'")
        else:
            context.no_such(here, "button", name, context.names.buttons, key=False)
    return buttons


def _buttons_to(position: str) -> Callable[[Context, KeyPath], Iterator[Action]]:
    def read(context: Context, path: KeyPath) -> Iterator[Action]:
        for name in read_buttons(context, path):
            yield MoveSwitch(name, position)

    return read


def _fault(context: Context, path: KeyPath) -> Iterator[Action]:
    for name in context.keys(path):
        here = (*path, name)
        if name not in context.names.faults:
            hint_names = (*context.names.faults,)
            context.no_such(here, "fault target", name, hint_names, key=True)
            continue
        target, kinds = context.names.faults[name]
        if isinstance(context.source.get(here), dict):
            yield from _bouncing(context, here, target, kinds)
            continue
        good, word = context.word(here, tuple(kind.value for kind in kinds))
        if good:
            kind = FaultKind(str(word))
            yield SetFault(kind, target, BOUNCING_S if kind is FaultKind.BOUNCING else 0.0)


def _bouncing(
    context: Context, path: KeyPath, target: str, kinds: tuple[FaultKind, ...]
) -> Iterator[Action]:
    keys = context.keys(path)
    if keys != ("bouncing_s",):
        hint = f"Write {listed(kinds)}"
        if FaultKind.BOUNCING in kinds:
            hint += ", or {bouncing_s: 0.25} to say how long it rattles"
        context.at_key(path, f"{place_name(path)} must be a kind of fault", hint)
    elif FaultKind.BOUNCING not in kinds:
        what = f"{quoted(path[-1])} has no contact that bounces"
        context.at_key(path, what, f"It can be {listed(kinds)}")
    else:
        for_s = context.limited((*path, "bouncing_s"), "bouncing_s", 0.001, LONGEST_BOUNCING_S)
        if for_s is not None:
            yield SetFault(FaultKind.BOUNCING, target, for_s)


def _clear(context: Context, path: KeyPath) -> Iterator[Action]:
    for here, name in context.texts(path):
        if name == ALL:
            yield ClearFault(ALL)
        elif name in context.names.faults:
            yield ClearFault(context.names.faults[name][0])
        else:
            context.no_such(here, "fault target", name, (ALL, *context.names.faults), key=False)


_READERS: Mapping[str, Callable[[Context, KeyPath], Iterator[Action]]] = {
    "set": _set,
    "ramp": _ramp,
    "move": _move,
    "press": _buttons_to(PRESSED),
    "release": _buttons_to(RELEASED),
    "push": _buttons_to(PRESSED),
    "fault": _fault,
    "clear": _clear,
}
