"""Actions of a scenario file: what a step does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

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
from panelbridge.bench.language.reading_context import Context
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, place_name
from panelbridge.logic.aircraft_values import ValueSpec
from panelbridge.logic.switch_words import BUTTON, LEVERS, operated_first
from panelbridge.signals import Value

RELEASED, PRESSED = BUTTON
BOUNCING_S = 0.1
"""How long a bouncing contact rattles when the scenario does not say, s."""
LONGEST_BOUNCING_S = 10.0


def read_actions(desk: Context, path: KeyPath) -> tuple[Action, ...]:
    """The actions of the step at ``path``, in the order in which they are written."""
    actions: list[Action] = []
    for key in desk.keys(path):
        if key in _READERS and desk.source.get((*path, key)) is not None:
            actions.extend(_READERS[key](desk, (*path, key)))
    return tuple(actions)


def read_values(desk: Context, path: KeyPath) -> dict[str, Value]:
    """Aircraft values by name; a name for several stands for each of them."""
    values: dict[str, Value] = {}
    for spec, here in _each_value(desk, path):
        good, value = desk.value(here, spec)
        if good:
            values[spec.name] = value
    return values


def read_switches(desk: Context, path: KeyPath) -> dict[str, str | float]:
    """Positions of switches by name."""
    positions: dict[str, str | float] = {}
    for name in desk.keys(path):
        here = (*path, name)
        if name in LEVERS and name in desk.names.switches:
            number = desk.limited(here, name, 0.0, 1.0)
            if number is not None:
                positions[name] = number
        elif name in desk.names.switches:
            words = desk.names.handle_positions if name == HANDLE else operated_first(name)
            good, word = desk.word(here, words)
            if good:
                positions[name] = str(word)
        elif name in desk.names.values or name in desk.names.sets_of_values:
            what = f"{quoted(name)} is a value of the aircraft, and cannot be moved"
            desk.at_key(here, what, "Write it under 'set:'")
        else:
            desk.no_such(here, "switch", name, desk.names.switches, key=True)
    return positions


def _each_value(desk: Context, path: KeyPath) -> Iterator[tuple[ValueSpec, KeyPath]]:
    values, groups = desk.names.values, desk.names.sets_of_values
    for name in desk.keys(path):
        here = (*path, name)
        if name in groups:
            told = len(desk.problems)
            for member in groups[name]:
                yield values[member], here
                if len(desk.problems) > told:
                    break  # the others would say the same
        elif name in values:
            yield values[name], here
        elif name in desk.names.switches:
            what = f"{quoted(name)} is a switch of the panel, and is not set but moved"
            hint = "Write it under 'move:'"
            if name == HANDLE:
                hint += "; the handle of the simulator is 'simulator_handle'"
            desk.at_key(here, what, hint)
        elif name in desk.names.signals:
            what = f"{quoted(name)} can be expected, and not set"
            desk.at_key(here, what, "It follows from the logic: set what it depends on")
        else:
            desk.no_such(here, "aircraft value", name, (*values, *groups), key=True)


def _set(desk: Context, path: KeyPath) -> Iterator[Action]:
    values = read_values(desk, path)
    if values:
        yield SetValues(values)


def _ramp(desk: Context, path: KeyPath) -> Iterator[Action]:
    targets: dict[str, float] = {}
    for spec, here in _each_value(desk, (*path, "to")):
        if spec.form != "number":
            what = f"{quoted(spec.name)} is no number, and has nothing between its words"
            desk.at_key(here, what, "Write it under 'set:'")
            continue
        number = desk.limited(here, spec.name, spec.low, spec.high)
        if number is not None:
            targets[spec.name] = number
    if desk.get(*path, "to") == {}:
        desk.at_key((*path, "to"), f"{place_name((*path, 'to'))} is empty", "Name a value")
    over_s = desk.number(*path, "over_s")
    if targets and over_s is not None:
        yield RampValues(targets, over_s)


def _move(desk: Context, path: KeyPath) -> Iterator[Action]:
    for name, position in read_switches(desk, path).items():
        yield MoveSwitch(name, position)


def read_buttons(desk: Context, path: KeyPath) -> list[str]:
    """The buttons at ``path``."""
    buttons = []
    for here, name in desk.texts(path):
        if name in desk.names.buttons:
            buttons.append(name)
        elif name in desk.names.switches:
            what = f"{quoted(name)} is no button"
            desk.at_value(here, what, f"Write 'move: {{{name}: ...}}'")
        else:
            desk.no_such(here, "button", name, desk.names.buttons, key=False)
    return buttons


def _buttons_to(position: str) -> Callable[[Context, KeyPath], Iterator[Action]]:
    def read(desk: Context, path: KeyPath) -> Iterator[Action]:
        for name in read_buttons(desk, path):
            yield MoveSwitch(name, position)

    return read


def _fault(desk: Context, path: KeyPath) -> Iterator[Action]:
    for name in desk.keys(path):
        here = (*path, name)
        if name not in desk.names.faults:
            hint_names = (*desk.names.faults,)
            desk.no_such(here, "fault target", name, hint_names, key=True)
            continue
        target, kinds = desk.names.faults[name]
        if isinstance(desk.source.get(here), dict):
            yield from _bouncing(desk, here, target, kinds)
            continue
        good, word = desk.word(here, tuple(kind.value for kind in kinds))
        if good:
            kind = FaultKind(str(word))
            yield SetFault(kind, target, BOUNCING_S if kind is FaultKind.BOUNCING else 0.0)


def _bouncing(
    desk: Context, path: KeyPath, target: str, kinds: tuple[FaultKind, ...]
) -> Iterator[Action]:
    keys = desk.keys(path)
    if keys != ("bouncing_s",):
        hint = f"Write {listed(kinds)}"
        if FaultKind.BOUNCING in kinds:
            hint += ", or {bouncing_s: 0.25} to say how long it rattles"
        desk.at_key(path, f"{place_name(path)} must be a kind of fault", hint)
    elif FaultKind.BOUNCING not in kinds:
        what = f"{quoted(path[-1])} has no contact that bounces"
        desk.at_key(path, what, f"It can be {listed(kinds)}")
    else:
        for_s = desk.limited((*path, "bouncing_s"), "bouncing_s", 0.001, LONGEST_BOUNCING_S)
        if for_s is not None:
            yield SetFault(FaultKind.BOUNCING, target, for_s)


def _clear(desk: Context, path: KeyPath) -> Iterator[Action]:
    for here, name in desk.texts(path):
        if name == ALL:
            yield ClearFault(ALL)
        elif name in desk.names.faults:
            yield ClearFault(desk.names.faults[name][0])
        else:
            desk.no_such(here, "fault target", name, (ALL, *desk.names.faults), key=False)


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
