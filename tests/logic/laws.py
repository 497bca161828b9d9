"""Laws of every system: an update that nothing asked for, and a restored copy, change nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import inf
from typing import Any

from tests.logic.stage import Stage

Move = tuple[float, Mapping[str, Any]]
"""How long to wait, s, and which inputs change then."""


def look_again(stage: Stage[Any]) -> None:
    """One more update at the time of the last step: nothing may come of it."""
    system, now_s = stage.system, stage.now_s
    before = (system.facts, system.memory, system.due_s)
    facts = system.update(now_s, stage.loop.world(now_s))
    due_s = system.due_s if system.due_s > now_s else inf
    assert (facts, system.memory, due_s) == before
    assert system.noted == []


def play(stage: Stage[Any], moves: Sequence[Move], *, fine: int = 1, look: bool = False) -> None:
    """Play moves, each wait in ``fine`` parts, with another update after every step if asked."""
    for wait_s, changes in moves:
        start_s = stage.now_s
        for part in range(1, fine):
            stage.at(start_s + wait_s * part / fine)
            if look:
                look_again(stage)
        stage.at(start_s + wait_s, **changes)
        if look:
            look_again(stage)


def state_of(stage: Stage[Any]) -> tuple[Any, ...]:
    """All that a test can see of a stage."""
    system = stage.system
    lit = (sorted(stage.lit), system.sounds())
    return (system.facts, system.memory, system.due_s, lit, stage.logged, stage.now_s)


def extra_looks_change_nothing(
    make: Callable[[], Stage[Any]], moves: Sequence[Move], fine: int
) -> None:
    """The same story with every update twice, and with steps in between."""
    plain, again, often = make(), make(), make()
    play(plain, moves)
    play(again, moves, look=True)
    assert state_of(again) == state_of(plain)
    play(often, moves, fine=fine, look=True)
    end_s = plain.now_s + 100.0
    for stage in (plain, often):
        stage.at(end_s)
    assert state_of(often)[0] == state_of(plain)[0]
    assert state_of(often)[3:5] == state_of(plain)[3:5]


def restored_goes_on_the_same(
    make: Callable[[], Stage[Any]], moves: Sequence[Move], after: int
) -> None:
    """A fresh system that takes over what was saved after some moves goes on as the first does."""
    first, second = make(), make()
    play(first, moves[:after])
    second.resume(first)
    second.events = list(first.events)
    for stage in (first, second):
        play(stage, moves[after:])
        stage.at(stage.now_s + 100.0)
    assert state_of(second) == state_of(first)
