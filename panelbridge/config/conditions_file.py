"""Conditions in files: a group of signals and what they are held against."""

from __future__ import annotations

from panelbridge.config.reading_context import ReadingContext
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, place_name
from panelbridge.logic.conditions import (
    ALL,
    ANY,
    NOT,
    AllOf,
    AnyOf,
    Compare,
    Comparison,
    Condition,
    Not,
)
from panelbridge.logic.signal_table import SignalSpec

LIMITS = tuple(c.value for c in Comparison if c is not Comparison.IS)


def read_group(desk: ReadingContext, path: KeyPath) -> Condition | None:
    """The condition at a key of a step; what is no group is reported with the layout."""
    return read_condition(desk, path) if isinstance(desk.source.get(path), dict) else None


def read_condition(desk: ReadingContext, path: KeyPath) -> Condition | None:
    """The condition at ``path``; None when it has problems, which are noted."""
    group = desk.source.get(path)
    if not isinstance(group, dict) or not group:
        what = "is empty" if group in (None, {}) else "must be a group of signals"
        desk.at_key(path, f"{place_name(path)} {what}", "Write signals as {gear: locked_down}")
        return None
    parts = [_part(desk, path, key) for key in group]
    good = [part for part in parts if part is not None]
    return _together(good) if len(good) == len(parts) else None


def _together(parts: list[Condition]) -> Condition:
    return parts[0] if len(parts) == 1 else AllOf(tuple(parts))


def _part(desk: ReadingContext, path: KeyPath, key: str) -> Condition | None:
    here = (*path, key)
    if key in (ANY, ALL):
        return _list_of(desk, here, key)
    if key == NOT:
        part = read_condition(desk, here)
        return None if part is None else Not(part)
    names, groups = desk.names.signals, desk.names.sets_of_signals
    if key in groups:
        return _each_of(desk, here, groups[key])
    if key in names:
        return _signal(desk, here, names[key])
    if key in LIMITS:
        what = f"{place_name(here)} stands where a signal should"
        desk.at_key(here, what, f"Write it under a number: {{airspeed_kias: {{{key}: 100}}}}")
        return None
    desk.no_such(here, "signal", key, (*names, *groups, ANY, ALL, NOT), key=True)
    return None


def _each_of(desk: ReadingContext, path: KeyPath, members: tuple[str, ...]) -> Condition | None:
    parts = []
    for name in members:
        part = _signal(desk, path, desk.names.signals[name])
        if part is None:
            return None  # the others would say the same
        parts.append(part)
    return _together(parts)


def _list_of(desk: ReadingContext, path: KeyPath, key: str) -> Condition | None:
    items = desk.source.get(path)
    if not isinstance(items, list) or not items:
        hint = f"Write it as {key}: [{{gear: locked_up}}, {{gear: locked_down}}]"
        what = "is empty" if items in (None, [], {}) else "must be a list of groups of signals"
        desk.at_key(path, f"{place_name(path)} {what}", hint)
        return None
    parts = [read_condition(desk, (*path, place)) for place in range(len(items))]
    good = tuple(part for part in parts if part is not None)
    if len(good) < len(parts):
        return None
    return AnyOf(good) if key == ANY else AllOf(good)


def _signal(desk: ReadingContext, path: KeyPath, spec: SignalSpec) -> Condition | None:
    value = desk.source.get(path)
    if isinstance(value, dict):
        return _limits(desk, path, spec)
    if isinstance(value, list) and value:
        parts = [_is(desk, (*path, place), spec) for place in range(len(value))]
        good = tuple(part for part in parts if part is not None)
        return AnyOf(good) if len(good) == len(parts) else None
    return _is(desk, path, spec)


def _is(desk: ReadingContext, path: KeyPath, spec: SignalSpec) -> Condition | None:
    good, value = desk.value(path, spec)
    return Compare(spec.name, Comparison.IS, value) if good else None


def _limits(desk: ReadingContext, path: KeyPath, spec: SignalSpec) -> Condition | None:
    keys = desk.keys(path)
    if spec.form != "number":
        words = spec.words if spec.form == "word" else ("true", "false")
        what = f"{quoted(spec.name)} is no number, and cannot be above or below anything"
        desk.at_key(path, what, f"It can be {listed(words)}")
        return None
    if not keys:
        hint = "Write {above: 100}, {below: 100}, {at_least: 100} or {at_most: 100}"
        desk.at_key(path, f"{place_name(path)} is empty", hint)
        return None
    parts: list[Condition] = []
    for key in keys:
        here = (*path, key)
        if key not in LIMITS:
            hint = did_you_mean(key, LIMITS) or f"A number can be {listed(LIMITS)}"
            desk.at_key(here, f"a number cannot be {quoted(key)} something", hint)
            continue
        number = desk.limited(here, spec.name, spec.low, spec.high)
        if number is not None:
            parts.append(Compare(spec.name, Comparison(key), number))
    return _together(parts) if len(parts) == len(keys) else None
