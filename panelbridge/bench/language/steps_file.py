"""Steps of a scenario file, those of included files in their place."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec import Struct

from panelbridge.bench.language.actions_file import RELEASED, read_actions, read_buttons
from panelbridge.bench.language.expectations import ExpectNow, ExpectThroughout
from panelbridge.bench.language.expectations_file import read_event, read_expectations
from panelbridge.bench.language.names import Context
from panelbridge.bench.language.plan import After, At, MoveSwitch, Step, WaitFor, WaitForEvent, When
from panelbridge.config.advice import number_text
from panelbridge.config.conditions_file import read_group
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath

PUSH_S = 0.2
"""How long a button is pressed that is pushed, s."""
DEFAULT_LIMIT_S = 60.0
"""How long ``wait_for`` waits when the scenario does not say, s."""
MAX_STEPS = 10_000
"""A scenario has no more steps than these, with all that it includes."""
_TIMES = ("at_s", "after_s", "wait_for")
_BESIDE_STEPS = (*_TIMES, "limit_s", "note")
"""What may stand beside ``include`` and ``repeat``."""

Include = Callable[[Context, KeyPath, "Timeline"], list[Step]]
"""Reads the steps of the file that is named at a place."""


class Timeline(Struct):
    """How far the steps have come.

    Attributes:
        now_s: seconds since the file's own steps began; at least, when not ``exact``.
        exact: there was no wait of unknown length.
        included: the steps are those of an included file, whose times count from its begin.
        left: how many steps may still come.
    """

    now_s: float = 0.0
    exact: bool = True
    included: bool = False
    left: int = MAX_STEPS


def read_steps(
    context: Context, timeline: Timeline, include: Include, path: KeyPath = ("steps",)
) -> list[Step]:
    """Every step of the list at ``path``; errors are noted."""
    items = context.source.get(path)
    steps: list[Step] = []
    for place, item in enumerate(items if isinstance(items, list) else ()):
        if isinstance(item, dict):
            steps.extend(_step(context, (*path, place), timeline, include))
    return steps


def _step(context: Context, path: KeyPath, timeline: Timeline, include: Include) -> Iterator[Step]:
    keys = {key for key in context.keys(path) if context.source.get((*path, key)) is not None}
    when = _when(context, path, keys, timeline)
    note = context.get(*path, "note")
    note = note if isinstance(note, str) else ""
    spot = context.spot(path)
    _count(context, path, timeline, 1)
    if timeline.left <= 0:
        return
    for name in ("include", "repeat"):
        if name in keys:
            for key in context.keys(path):
                if key in keys and key not in (*_BESIDE_STEPS, name):
                    hint = "Write it as a step of its own, before or after"
                    context.at_key(
                        (*path, key), f"{quoted(key)} stands beside {quoted(name)}", hint
                    )
            yield Step(when, (), (), note, spot)
            if name == "include":
                yield from include(context, (*path, name), timeline)
            else:
                yield from _repeat(context, (*path, name), timeline, include)
            return
    actions = read_actions(context, path)
    expectations = read_expectations(context, path)
    if "push" not in keys:
        yield Step(when, actions, expectations, note, spot)
        return
    before = len(context.problems)
    pushed = read_buttons(context, (*path, "push"))
    del context.problems[before:]  # the actions have reported them
    for name in {"press", "release"} & keys:
        what = f"{quoted(name)} stands beside 'push', which does both"
        context.at_key((*path, name), what, "Write it as a step of its own")
    # What holds is looked at when the button is released; what comes may come while it is pressed.
    after = tuple(e for e in expectations if isinstance(e, ExpectNow | ExpectThroughout))
    yield Step(when, actions, tuple(e for e in expectations if e not in after), note, spot)
    released = tuple(MoveSwitch(name, RELEASED) for name in pushed)
    timeline.now_s += PUSH_S
    yield Step(After(PUSH_S), released, after, "", spot)


def _repeat(context: Context, path: KeyPath, timeline: Timeline, include: Include) -> list[Step]:
    """The steps of all rounds; each begins with the last step of the one before."""
    times = context.get(*path, "times")
    inner = Timeline(included=True, left=timeline.left)
    steps = read_steps(context, inner, include, (*path, "steps"))
    if inner.left <= 0:
        timeline.left = 0
        return []
    if not isinstance(times, int) or times < 1:
        return steps  # the model of the file reports it
    _count(context, path, timeline, times * len(steps))
    timeline.now_s += times * inner.now_s
    timeline.exact &= inner.exact
    return steps * times if timeline.left > 0 else []


def _count(context: Context, path: KeyPath, timeline: Timeline, steps: int) -> None:
    """Count steps that come; more than there may be is an error, once."""
    before, timeline.left = timeline.left, timeline.left - steps
    if timeline.left <= 0 < before:
        what = f"more than {MAX_STEPS} steps, with all that is included or repeated"
        context.at_key(path, what, "Include fewer files, or repeat less often")


def _when(context: Context, path: KeyPath, keys: set[str], timeline: Timeline) -> When:
    given = [key for key in _TIMES if key in keys]
    if len(given) > 1:
        what = f"a step begins at one time, and {listed(given, 'and')} stand here"
        context.at_key((*path, given[1]), what, "Delete all but one, or make two steps")
    if "limit_s" in keys and "wait_for" not in keys:
        what = "'limit_s' stands here with nothing to wait for"
        context.at_key((*path, "limit_s"), what, "Write 'wait_for:' beside it, or delete it")
    if "wait_for" in given:
        timeline.exact = False
        return _wait(context, path) or After(0.0)
    at_s = context.number(*path, "at_s")
    if at_s is not None:
        return _at(context, (*path, "at_s"), at_s, timeline)
    after_s = context.number(*path, "after_s") or 0.0
    timeline.now_s += after_s
    return After(after_s)


def _wait(context: Context, path: KeyPath) -> WaitFor | WaitForEvent | None:
    """What the step at ``path`` waits for; None when that is an error."""
    here, limit_s = (*path, "wait_for"), context.number(*path, "limit_s")
    limit_s = DEFAULT_LIMIT_S if limit_s is None else limit_s
    if "event" in context.keys(here):
        event = read_event(context, here)
        return None if event is None else WaitForEvent(event, limit_s)
    condition = read_group(context, here)
    return None if condition is None else WaitFor(condition, limit_s)


def _at(context: Context, path: KeyPath, at_s: float, timeline: Timeline) -> At | After:
    before_s, exact = timeline.now_s, timeline.exact
    timeline.now_s, timeline.exact = at_s, True
    if timeline.included and not exact:
        what = "in an included file no step can have 'at_s' after a 'wait_for'"
        context.at_key(path, what, "Write 'after_s:', the time after the step before")
        return After(0.0)
    if 0.0 <= at_s < before_s - 1e-9:
        what = (
            f"this step begins at {number_text(at_s)} s, and the step before it at "
            f"{number_text(round(before_s, 6))} s{'' if exact else ' or later, after a wait'}"
        )
        context.at_value(
            path, what, "Put the steps in the order of their times, or write 'after_s:'"
        )
        return After(0.0)
    return After(max(0.0, at_s - before_s)) if timeline.included else At(at_s)
