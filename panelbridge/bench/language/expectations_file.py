"""Expectations of a scenario file: what must be, become, stay or never come."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from panelbridge.bench.language.expectations import (
    EventPattern,
    Expectation,
    ExpectCount,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
)
from panelbridge.bench.language.names import Context
from panelbridge.config.conditions_file import read_group
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import KeyPath, place_name


def read_expectations(context: Context, path: KeyPath) -> tuple[Expectation, ...]:
    """The expectations of the step at ``path``."""
    keys = {key for key in context.keys(path) if context.source.get((*path, key)) is not None}
    for key, owners in (
        ("within_s", ("expect", "in_order")),
        ("throughout_s", ("expect",)),
        ("for_s", ("never", "exactly")),
    ):
        if key in keys and not keys & {*owners}:
            hint = f"Write '{owners[0]}:' beside it, or delete it"
            context.at_key((*path, key), f"{quoted(key)} stands here with nothing to expect", hint)
    if {"expect", "within_s", "throughout_s"} <= keys:
        what = "'within_s' and 'throughout_s' stand together"
        hint = "Write a step with 'within_s', and after it one with 'throughout_s'"
        context.at_key((*path, "throughout_s"), what, hint)
    readers = {"expect": _expect, "never": _never, "in_order": _in_order, "exactly": _exactly}
    return tuple(one for key in readers if key in keys for one in readers[key](context, path))


def _expect(context: Context, path: KeyPath) -> Iterator[Expectation]:
    condition = read_group(context, (*path, "expect"))
    spot = context.spot((*path, "expect"))
    within_s = context.number(*path, "within_s")
    for_s = context.span((*path, "throughout_s"))
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
    for_s = _for_s(context, path)
    if "event" not in context.keys(here):
        condition = read_group(context, here)
        if condition is not None:
            yield ExpectNever(condition, for_s, spot)
        return
    pattern = read_event(context, here)
    if pattern is not None and pattern.subject:
        what = "'never' counts an event of anyone"
        hint = f"Write {pattern.name} alone, or 'exactly: {{{pattern.name} {pattern.subject}: 0}}'"
        context.at_value((*here, "event"), what, hint)
    elif pattern is not None:
        yield ExpectSilence(pattern.name, for_s, spot)


def _for_s(context: Context, path: KeyPath) -> float:
    """How long ``never`` and ``exactly`` of a step count."""
    if context.source.get((*path, "for_s")) is None:
        return inf
    return context.span((*path, "for_s")) or inf


def _exactly(context: Context, path: KeyPath) -> Iterator[Expectation]:
    here, for_s = (*path, "exactly"), _for_s(context, path)
    for key in context.keys(here):
        pattern = _pattern(context, (*here, key), key, is_key=True)
        count = context.source.get((*here, key))
        if pattern is not None and isinstance(count, int):  # else the model of the file reports it
            yield ExpectCount(pattern, count, for_s, context.spot((*here, key)))
    if context.source.get(here) == {}:
        context.at_key(here, f"{place_name(here)} is empty", "Write {horn_silenced: 2}")


def _in_order(context: Context, path: KeyPath) -> Iterator[Expectation]:
    here = (*path, "in_order")
    items = context.source.get(here)
    if not isinstance(items, list):
        return  # the model of the file reports it
    patterns = [
        _pattern(context, (*here, place), item)
        for place, item in enumerate(items)
        if isinstance(item, str)
    ]
    good = tuple(pattern for pattern in patterns if pattern is not None)
    limit_s = context.number(*path, "within_s")
    if good and len(good) == len(items):
        yield ExpectOrder(good, inf if limit_s is None else limit_s, context.spot(here))


def read_event(context: Context, path: KeyPath) -> EventPattern | None:
    """The event of a group ``{event: NAME}``, in which nothing else may stand."""
    for key in context.keys(path):
        if key != "event":
            hint = "Write one step for the event and one for the signals"
            context.at_key((*path, key), "an event and signals stand together", hint)
    here = (*path, "event")
    return _pattern(context, here, context.source.get(here))


def _pattern(
    context: Context, path: KeyPath, text: object, *, is_key: bool = False
) -> EventPattern | None:
    at = context.at_key if is_key else context.at_value
    if not isinstance(text, str) or not text.strip():
        at(path, f"{place_name(path)} must be the name of an event")
        return None
    name, _, subject = text.strip().partition(" ")
    subject = subject.strip()
    if name not in context.names.events:
        context.no_such(path, "event", name, context.names.events, key=is_key)
        return None
    subjects = context.names.subjects_of(name)
    if subject and not subjects:
        at(path, f"the event {quoted(name)} is about no leg or board", f"Write {name} alone")
        return None
    if subject and subject not in subjects:
        thing = "leg" if subjects == context.names.legs else "board"
        context.no_such(path, thing, subject, subjects, key=is_key)
        return None
    return EventPattern(name, subject)
