"""How often one looks changes nothing: a step in which no input changes leaves no trace.

Each run is played three times: stepped only when something is moved, stepped when something is due
as the engine does, and stepped at random times besides: right before a due time, on it, right after
it, and at the instant of a move before that. All state has to be the same after each move, down to
the last digit, and every event has to come at the same time. Some moves come at the very instant at
which something is due: what is due comes first.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf, nextafter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import HandleContacts
from tests.examples import examples
from tests.logic.whole_aircraft import JET, KINDS, fed
from tests.logic.whole_runs import Move, Moves, Run, moves_of, scenes

ALL = {**KINDS, **{f"fed_{kind}": fed(kind) for kind in KINDS}}
TIGHT = settings(max_examples=examples(25), deadline=None)
SHARES = st.lists(st.sampled_from([0.0, 0.01, 0.25, 0.5, 0.77, 0.999, 1.0, 1.0]), max_size=3)
"""When to look during a wait, as shares of it."""
TWO_ENDS = (HandleContacts.UP, HandleContacts.DOWN)
ON_DUE = st.sampled_from([False, False, False, True])
"""Whether a move comes when something is due, and not after its wait."""


def wait_for_moves(run: Run, end_s: float, shares: Sequence[float]) -> None:
    """No step at all."""
    run.now_s = end_s


def wait_by_due(run: Run, end_s: float, shares: Sequence[float]) -> None:
    """A step whenever something is due."""
    while (due_s := run.logic.next_due_s) < end_s:
        run.step(due_s)
    run.now_s = end_s


def wait_looking(run: Run, end_s: float, shares: Sequence[float]) -> None:
    """Steps around the first due time of each part of the wait, and at the end of the part."""
    start_s = run.now_s
    for share in sorted(shares):
        part_s = min(start_s + share * (end_s - start_s), end_s)
        due_s = run.logic.next_due_s
        for at_s in (nextafter(due_s, -inf), due_s, nextafter(due_s, inf), part_s):
            if run.now_s <= at_s <= part_s:
                run.step(at_s)
    run.now_s = end_s


WAITS: tuple[Callable[[Run, float, Sequence[float]], None], ...] = (
    wait_for_moves,
    wait_by_due,
    wait_looking,
)


def seen(run: Run) -> dict[str, Any]:
    """All that can be seen of a run, and all that it keeps."""
    logic = run.logic
    # The result holds the events of the last step alone, and a look more may count a change more.
    *state, step, flash, pending, _, due_s, _ = logic.save()
    return {
        "outputs": run.result.outputs,
        "commands": run.result.commands,
        "due": due_s,
        "values": logic.view(),
        "reasons": {name: logic.reasons(name) for name in (*run.lamp_names, "horn")},
        "systems": [(one.facts, one.memory, one.due_s) for one in logic._systems],
        "state": (state, step[:-1], flash, pending),
        "events": run.events,
    }


def looks_change_nothing(
    aircraft: AircraftParameters,
    moves: Moves,
    on_due: Sequence[bool],
    shares: Sequence[Sequence[float]],
) -> None:
    """Play it in all three ways, and compare after each move."""
    runs = [Run(aircraft) for _ in WAITS]
    plan = [*moves, (0.37, Move())]
    for (wait_s, move), at_due, looks in zip(plan, on_due, shares, strict=True):
        end_s, due_s = runs[0].now_s + wait_s, runs[1].logic.next_due_s
        if at_due and due_s < inf:
            end_s = due_s
        for run, wait in zip(runs, WAITS, strict=True):
            wait(run, end_s, looks)
            run.take(move)
            run.step(end_s)
        lazy, *others = [seen(run) for run in runs]
        for other in others:
            for what, value in lazy.items():
                assert other[what] == value, what


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data())
def test_how_often_one_looks_changes_nothing(kind: str, data: st.DataObject) -> None:
    moves = data.draw(moves_of(ALL[kind], most=18))
    count = len(moves) + 1
    on_due = data.draw(st.lists(ON_DUE, min_size=count, max_size=count))
    shares = data.draw(st.lists(SHARES, min_size=count, max_size=count))
    looks_change_nothing(ALL[kind], moves, on_due, shares)


@pytest.mark.parametrize("stays_open", [True, False])
def test_turned_round_while_it_unlocks(stays_open: bool) -> None:
    """Doors of 1 s and hydraulic power: the power went idle only when something looked."""
    door = {"open_s": 1.0, "close_s": 1.0, "close_when_down": not stays_open}
    legs = [{**leg, "door": door} for leg in JET["legs"]]
    aircraft = AircraftParameters.model_validate({**JET, "legs": legs, "gear_order": {}})
    made = scenes(aircraft)
    lifted = Move({"gear_handle": HandleContacts.DOWN}, {"strut_compressed": (False,) * 3})
    up, down = (Move({"gear_handle": contacts}) for contacts in TWO_ENDS)
    moves = [(0.0, made["parked"]), (60.0, up), (1.0, lifted), (0.05, up), (1.0, down), (0.05, up)]
    for share in (0.5, 1.0):
        looks_change_nothing(aircraft, moves, [False] * 7, [[share]] * 7)
