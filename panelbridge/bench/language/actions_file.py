"""Actions of a scenario file: what a step does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import inf

from panelbridge.bench.language.faults_file import read_faults, read_mended
from panelbridge.bench.language.names import Context
from panelbridge.bench.language.plan import (
    HANDLE,
    Action,
    AddNoise,
    MoveSwitch,
    RampValues,
    SetValues,
)
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import KeyPath, place_name
from panelbridge.logic.aircraft_values import AircraftValue, authority_over
from panelbridge.logic.switches import BUTTON, operated_first
from panelbridge.signals import Value

RELEASED, PRESSED = BUTTON


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
        elif authority := authority_over(context.names.aircraft, name):
            what = f"{quoted(name)} is set by the aircraft's model, and what is written here is not"
            hint = (
                "Set what it depends on, or write 'authority: { KEY: feed }' in the aircraft file"
            )
            context.at_key(here, f"{what} read", hint.replace("KEY", authority))
        elif name in context.names.signals:
            what = f"{quoted(name)} can be expected, and not set"
            context.at_key(here, what, "It follows from the logic: set what it depends on")
        else:
            context.no_such(here, "aircraft value", name, (*values, *groups), key=True)


def _set(context: Context, path: KeyPath) -> Iterator[Action]:
    values = read_values(context, path)
    if values:
        yield SetValues(values)


_NO_RAMP = ("has nothing between its words", "Write it under 'set:'")


def _ramp(context: Context, path: KeyPath) -> Iterator[Action]:
    targets = _numbers(context, (*path, "to"), lambda spec: (spec.low, spec.high), _NO_RAMP)
    over_s = context.number(*path, "over_s")
    if targets and over_s is not None:
        yield RampValues(targets, over_s)


def _noise(context: Context, path: KeyPath) -> Iterator[Action]:
    here, no_noise = (*path, "amplitude"), ("cannot have noise", "Delete it")
    amplitudes = _numbers(context, here, lambda spec: (0.0, spec.high - spec.low), no_noise)
    for_s, seed = context.span((*path, "for_s")), context.get(*path, "seed")
    if amplitudes:
        yield AddNoise(amplitudes, for_s or inf, seed if isinstance(seed, int) else 1)


def _numbers(
    context: Context,
    path: KeyPath,
    limits: Callable[[AircraftValue], tuple[float, float]],
    otherwise: tuple[str, str],
) -> dict[str, float]:
    """A number for each value; ``otherwise`` says why it is for numbers alone, and what to do."""
    found: dict[str, float] = {}
    for spec, here in _each_value(context, path):
        if spec.form != "number":
            why, hint = otherwise
            context.at_key(here, f"{quoted(spec.name)} is no number, and {why}", hint)
            continue
        number = context.limited(here, spec.name, *limits(spec))
        if number is not None:
            found[spec.name] = number
    if context.get(*path) == {}:
        context.at_key(path, f"{place_name(path)} is empty", "Name a value")
    return found


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


_READERS: Mapping[str, Callable[[Context, KeyPath], Iterator[Action]]] = {
    "set": _set,
    "ramp": _ramp,
    "noise": _noise,
    "move": _move,
    "press": _buttons_to(PRESSED),
    "release": _buttons_to(RELEASED),
    "push": _buttons_to(PRESSED),
    "fault": read_faults,
    "clear": read_mended,
}
