"""Faults of a scenario file: what a step breaks, for how long, and what it mends."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from panelbridge.bench.language.names import Context
from panelbridge.bench.language.plan import ALL, Action, ClearFault, FaultKind, SetFault
from panelbridge.bench.language.scenario_file import LONGEST_S
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, place_name

BOUNCING_S = 0.1
"""How long a bouncing contact rattles when the scenario does not say, s."""
LONGEST_BOUNCING_S = 10.0
HOW = "how"
"""The key of a kind of fault, where more is said of it."""


def read_faults(context: Context, path: KeyPath) -> Iterator[Action]:
    """What is broken."""
    for name in context.keys(path):
        here = (*path, name)
        if name not in context.names.faults:
            hint_names = (*context.names.faults,)
            context.no_such(here, "fault target", name, hint_names, key=True)
            continue
        target, kinds = context.names.faults[name]
        if isinstance(context.source.get(here), dict):
            yield from _fault_group(context, here, target, kinds)
            continue
        kind = _kind(context, here, kinds)
        if kind is not None:
            yield _set_fault(kind, target)


def _kind(context: Context, path: KeyPath, kinds: tuple[FaultKind, ...]) -> FaultKind | None:
    good, word = context.word(path, tuple(kind.value for kind in kinds))
    return FaultKind(str(word)) if good else None


def _set_fault(
    kind: FaultKind, target: str, rattles_s: float = BOUNCING_S, lasts_s: float = inf
) -> SetFault:
    return SetFault(kind, target, rattles_s if kind is FaultKind.BOUNCING else 0.0, lasts_s)


def _fault_group(
    context: Context, path: KeyPath, target: str, kinds: tuple[FaultKind, ...]
) -> Iterator[Action]:
    """A fault with more than its kind: how long it lasts, how long a contact rattles."""
    before, keys = len(context.problems), context.keys(path)
    if not {HOW, "bouncing_s"} & {*keys}:
        hint = f"Write {listed(kinds)}; {{how: {kinds[0]}, for_s: 5}} for 5 seconds"
        if FaultKind.BOUNCING in kinds:
            hint += "; {bouncing_s: 0.25} to say how long it rattles"
        context.at_key(path, f"{place_name(path)} must be a kind of fault", hint)
        return
    for key in keys:
        if key not in (HOW, "for_s", "bouncing_s"):
            what = f"{quoted(key)} says nothing of a fault"
            context.at_key((*path, key), what, f"Write {{how: {kinds[0]}, for_s: 5}}")
    kind: FaultKind | None = FaultKind.BOUNCING
    if HOW in keys:
        kind = _kind(context, (*path, HOW), kinds)
    elif FaultKind.BOUNCING not in kinds:
        what = f"{quoted(path[-1])} has no contact that bounces"
        context.at_key(path, what, f"It can be {listed(kinds)}")
    if "bouncing_s" in keys and kind not in (FaultKind.BOUNCING, None):
        what = f"'bouncing_s' stands beside {kind}, which does not bounce"
        context.at_key((*path, "bouncing_s"), what, "Delete one of the two")
    rattles_s = _seconds(context, (*path, "bouncing_s"), BOUNCING_S, LONGEST_BOUNCING_S)
    lasts_s = _seconds(context, (*path, "for_s"), inf, LONGEST_S)
    if kind is not None and len(context.problems) == before:
        yield _set_fault(kind, target, rattles_s, lasts_s)


def _seconds(context: Context, path: KeyPath, otherwise: float, longest: float) -> float:
    """A number of seconds; ``otherwise`` when it is left out or an error."""
    if path[-1] not in context.keys(path[:-1]):
        return otherwise
    return context.limited(path, str(path[-1]), 0.001, longest) or otherwise


def read_mended(context: Context, path: KeyPath) -> Iterator[Action]:
    """What is mended."""
    for here, name in context.texts(path):
        if name == ALL:
            yield ClearFault(ALL)
        elif name in context.names.faults:
            yield ClearFault(context.names.faults[name][0])
        else:
            context.no_such(here, "fault target", name, (ALL, *context.names.faults), key=False)
