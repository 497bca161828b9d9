"""Conditions in files: every error at its place; ``logic.conditions`` makes the condition."""

from __future__ import annotations

from panelbridge.config.key_texts import MAX_LISTED
from panelbridge.config.reading_context import ReadingContext
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, place_name
from panelbridge.logic.kit.conditions import ALL, ANY, NOT, Comparison, Condition, condition_from
from panelbridge.logic.kit.declarations import Signal

LIMITS = tuple(c.value for c in Comparison if c is not Comparison.IS)


def read_group(context: ReadingContext, path: KeyPath) -> Condition | None:
    """The condition at a key of a step; None when it is no group, an error of the layout."""
    return read_condition(context, path) if isinstance(context.source.get(path), dict) else None


def read_condition(context: ReadingContext, path: KeyPath) -> Condition | None:
    """The condition at ``path``; None when it has errors, which are noted."""
    before = len(context.problems)
    _check_group(context, path)
    group = context.source.get(path)
    if len(context.problems) > before or not isinstance(group, dict):
        return None
    return condition_from(group, context.names.sets_of_signals)


def _check_group(context: ReadingContext, path: KeyPath) -> None:
    group = context.source.get(path)
    if isinstance(group, dict) and group:
        for key in group:
            _check_part(context, path, key)
        return
    what = "is empty" if group in (None, {}) else "must be a group of signals"
    context.at_key(path, f"{place_name(path)} {what}", "Write signals as {gear: locked_down}")


def _check_part(context: ReadingContext, path: KeyPath, key: str) -> None:
    here = (*path, key)
    names, groups = context.names.signals, context.names.sets_of_signals
    if key in (ANY, ALL):
        _check_list(context, here, key)
    elif key == NOT:
        _check_group(context, here)
    elif key in groups:
        before = len(context.problems)
        for name in groups[key]:
            if len(context.problems) == before:  # the others would say the same
                _check_signal(context, here, names[name])
    elif key in names:
        _check_signal(context, here, names[key])
    elif key in LIMITS:
        what = f"{place_name(here)} stands where a signal should"
        context.at_key(here, what, f"Write it under a number: {{airspeed_kias: {{{key}: 100}}}}")
    else:
        context.no_such(here, "signal", key, (*names, *groups, ANY, ALL, NOT), key=True)


def _check_list(context: ReadingContext, path: KeyPath, key: str) -> None:
    items = context.source.get(path)
    if isinstance(items, list) and items:
        for place in range(len(items)):
            _check_group(context, (*path, place))
        return
    hint = f"Write it as {key}: [{{gear: locked_up}}, {{gear: locked_down}}]"
    what = "is empty" if items in (None, [], {}) else "must be a list of groups of signals"
    context.at_key(path, f"{place_name(path)} {what}", hint)


def _check_signal(context: ReadingContext, path: KeyPath, spec: Signal) -> None:
    value = context.source.get(path)
    if isinstance(value, dict):
        _check_limits(context, path, spec)
    elif isinstance(value, list) and value:
        for place in range(len(value)):
            context.value((*path, place), spec)
    else:
        context.value(path, spec)


def _check_limits(context: ReadingContext, path: KeyPath, spec: Signal) -> None:
    keys = context.keys(path)
    if spec.form != "number":
        words = spec.words if spec.form == "word" else ("true", "false")
        what = f"{quoted(spec.name)} is no number, and cannot be above or below anything"
        context.at_key(path, what, f"It can be {listed(words)}")
        return
    if not keys:
        hint = "Write {above: 100}, {below: 100}, {at_least: 100} or {at_most: 100}"
        context.at_key(path, f"{place_name(path)} is empty", hint)
    for key in keys:
        here = (*path, key)
        if key in LIMITS and isinstance(context.source.get(here), str):
            _check_other(context, here, spec)
        elif key in LIMITS:
            context.limited(here, spec.name, spec.low, spec.high)
        else:
            hint = did_you_mean(key, LIMITS) or f"A number can be {listed(LIMITS)}"
            context.at_key(here, f"a number cannot be {quoted(key)} something", hint)


def _check_other(context: ReadingContext, path: KeyPath, spec: Signal) -> None:
    """The name of a signal in place of a limit: a number in the same unit."""
    name = str(context.source.get(path)).strip()
    other = context.names.signals.get(name)
    numbers = [one.name for one in context.names.signals.values() if _fits(one, spec)]
    if other is None and (did_you_mean(name, numbers) or name in context.names.left_out):
        context.no_such(path, "signal", name, numbers, key=False)
    elif other is None:
        context.limited(path, spec.name, spec.low, spec.high)  # meant as a number
    elif name == spec.name:
        context.at_value(path, f"{quoted(name)} is compared with itself", "Name another signal")
    elif not _fits(other, spec):
        what = f"{quoted(name)} is {_kind(other)}, and {quoted(spec.name)} is {_kind(spec)}"
        choices = listed(map(quoted, numbers[:MAX_LISTED]))
        hint = f"It can be compared with {choices}" if numbers else "Compare it with a number"
        context.at_value(path, what, hint)


def _fits(other: Signal, spec: Signal) -> bool:
    """Whether the two can be compared."""
    return other.form == "number" and other.unit == spec.unit and other.name != spec.name


def _kind(spec: Signal) -> str:
    if spec.form != "number":
        return "a word" if spec.form == "word" else "true or false"
    return f"in {spec.unit}" if spec.unit else "a number without a unit"
