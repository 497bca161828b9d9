"""Expectations of a scenario file: what must be, become, stay or never come."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from panelbridge.bench.language.expectations import (
    EventPattern,
    Expectation,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
)
from panelbridge.bench.language.names import ALL_EVENTS, Context
from panelbridge.bench.language.scenario_file import LONGEST_S
from panelbridge.config.conditions_file import read_group
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import KeyPath, place_name

END = "end"


def read_expectations(context: Context, path: KeyPath) -> tuple[Expectation, ...]:
    """The expectations of the step at ``path``."""
    keys = {key for key in context.keys(path) if context.source.get((*path, key)) is not None}
    for key, owners in (
        ("within_s", ("expect", "in_order")),
        ("throughout_s", ("expect",)),
        ("for_s", ("never",)),
    ):
        if key in keys and not keys & {*owners}:
            hint = f"Write '{owners[0]}:' beside it, or delete it"
            context.at_key((*path, key), f"{quoted(key)} stands here with nothing to expect", hint)
    if {"expect", "within_s", "throughout_s"} <= keys:
        what = "'within_s' and 'throughout_s' stand together"
        hint = "Write a step with 'within_s', and after it one with 'throughout_s'"
        context.at_key((*path, "throughout_s"), what, hint)
    readers = {"expect": _expect, "never": _never, "in_order": _in_order}
    return tuple(one for key in readers if key in keys for one in readers[key](context, path))


def _expect(context: Context, path: KeyPath) -> Iterator[Expectation]:
    condition = read_group(context, (*path, "expect"))
    spot = context.spot((*path, "expect"))
    within_s = context.number(*path, "within_s")
    for_s = _span(context, (*path, "throughout_s"))
    if condition is None:
        return
    if within_s is not None:
        yield ExpectWithin(condition, within_s, spot)
    elif for_s is not None:
        yield ExpectThroughout(condition, for_s, spot)
    else:
        yield ExpectNow(condition, spot)


def _never(context: Context, path: KeyPath) -> Iterator[Expectation]:
    here = (*path, "never")
    spot = context.spot(here)
    for_s = inf
    if context.source.get((*path, "for_s")) is not None:
        for_s = _span(context, (*path, "for_s")) or inf
    if "event" not in context.keys(here):
        condition = read_group(context, here)
        if condition is not None:
            yield ExpectNever(condition, for_s, spot)
        return
    for key in context.keys(here):
        if key != "event":
            hint = "Write one step for the event and one for the signals"
            context.at_key((*here, key), "an event and signals stand together", hint)
    pattern = _pattern(context, (*here, "event"))
    if pattern is not None and pattern.subject:
        what = "'never' counts an event of anyone"
        context.at_value((*here, "event"), what, f"Write {pattern.name} alone")
    elif pattern is not None:
        yield ExpectSilence(pattern.name, for_s, spot)


def _in_order(context: Context, path: KeyPath) -> Iterator[Expectation]:
    here = (*path, "in_order")
    items = context.source.get(here)
    if not isinstance(items, list):
        return  # the model of the file reports it
    patterns = [
        _pattern(context, (*here, place))
        for place, item in enumerate(items)
        if isinstance(item, str)
    ]
    good = tuple(pattern for pattern in patterns if pattern is not None)
    limit_s = context.number(*path, "within_s")
    if good and len(good) == len(items):
        yield ExpectOrder(good, inf if limit_s is None else limit_s, context.spot(here))


def _pattern(context: Context, path: KeyPath) -> EventPattern | None:
    text = context.source.get(path)
    if not isinstance(text, str) or not text.strip():
        context.at_value(path, f"{place_name(path)} must be the name of an event")
        return None
    name, _, subject = text.strip().partition(" ")
    subject = subject.strip()
    if name not in ALL_EVENTS:
        context.no_such(path, "event", name, ALL_EVENTS, key=False)
        return None
    subjects = context.names.subjects_of(name)
    if subject and not subjects:
        what = f"the event {quoted(name)} is about no leg or board"
        context.at_value(path, what, f"Write {name} alone")
        return None
    if subject and subject not in subjects:
        thing = "leg" if subjects == context.names.legs else "board"
        context.no_such(path, thing, subject, subjects, key=False)
        return None
    return EventPattern(name, subject)


def _span(context: Context, path: KeyPath) -> float | None:
    """Seconds, or inf for ``end``; None when there is nothing or an error."""
    value = context.source.get(path)
    if value is None:
        return None
    if value == END:
        return inf
    number = context.number(*path)
    if number is None:
        what = f"{place_name(path)} must be a number of seconds, or the word end"
        context.at_value(path, what, "Write 5, or end for as long as the scenario runs")
    elif not 0.0 < number <= LONGEST_S:
        written = context.source.position(path).written
        what = f"{place_name(path)} is {written}, and must be more than 0 and up to {LONGEST_S:g} s"
        context.at_value(path, what)
    else:
        return number
    return None
