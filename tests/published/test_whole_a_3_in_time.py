"""A-3, through the whole panel: 14 CFR 25.729(e)(3): a warning in time to lock the gear down.

A scripted descent with the gear forgotten: from the horn to the touchdown there must be more time
than the gear takes, and a pilot's reaction.
"""

from __future__ import annotations

import pytest

from panelbridge.signals import HandleContacts
from tests.logic.whole_aircraft import KINDS
from tests.logic.whole_runs import Move, Run, began

REACTION_S = 5.0
SINK_FT_PER_S = 12.0  # 720 feet a minute
FROM_FT = 2000.0
LEVELS = (0.5, 0.4, 0.35, 0.3, 0.22, 0.15)
"""The levers as the descent goes on, a sixth of it each: closed further and further."""


def fly(run: Run, *, answers: bool) -> tuple[float | None, float]:
    """Fly down until the ground; when the horn sounded and when the wheels touched, s."""
    engines, began_s = run.parameters.engines, run.now_s
    lasts_s = FROM_FT / SINK_FT_PER_S
    sounded_s: float | None = None
    handle = HandleContacts.UP
    while run.now_s < began_s + lasts_s:
        flown = (run.now_s - began_s) / lasts_s
        if answers and sounded_s is not None and run.now_s >= sounded_s + REACTION_S:
            handle = HandleContacts.DOWN
        run.move(
            0.5,
            Move(
                {"gear_handle": handle},
                {
                    "altitude_ft": FROM_FT * (1.0 - flown),
                    "airspeed_kias": 150.0 - 50.0 * flown,
                    "throttle_fraction": (LEVELS[min(int(flown * 6), 5)],) * engines,
                },
            ),
        )
        if sounded_s is None and run.horn_sounds:
            sounded_s = run.now_s
    return sounded_s, run.now_s


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop"])
def test_the_gear_is_locked_down_before_the_ground(kind: str) -> None:
    run = began(KINDS[kind], "gear up")
    run.wait(10.0)
    sounded_s, touched_s = fly(run, answers=True)
    assert sounded_s is not None
    assert all(leg.locks.is_down for leg in run.view.legs)
    assert not run.horn_sounds
    longest_s = max(leg.unlock_s + leg.extend_s for leg in KINDS[kind].legs)
    assert touched_s - sounded_s > longest_s + REACTION_S


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop"])
def test_a_pilot_who_does_nothing_hears_it_to_the_ground(kind: str) -> None:
    run = began(KINDS[kind], "gear up")
    run.wait(10.0)
    sounded_s, _ = fly(run, answers=False)
    assert sounded_s is not None
    assert run.horn_sounds, "A-2: it goes on"
    assert not any(leg.locks.is_down for leg in run.view.legs)
