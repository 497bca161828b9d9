"""The gear is cranked down by hand: turns count, not how fast they come.

By hand: the slowest leg needs 0.5 s to unlock and 6 s to travel. With 13 turns each is worth 0.5 s:
after 12 turns 6.0 s of 6.5 are driven and no leg that slow is down, after 13 all of them are.
"""

from __future__ import annotations

import pytest

from panelbridge.logic.inventory import switches_of, vocabulary_of
from tests.logic.build import flying_gear_up, switches, twin

LEGS = [{"name": name, "unlock_s": 0.5, "extend_s": 6.0} for name in ("nose", "left", "right")]
CRANKED = twin(legs=LEGS, emergency={"means": "hand_crank", "crank_turns": 13})


def is_down(turns: int, pause_s: float) -> bool:
    bench = flying_gear_up(CRANKED)
    bench.after(1.0, switches("up", emergency_extend=False, hand_crank=False))
    bench.after(1.0, switches("up", emergency_extend=True, hand_crank=False))
    for _ in range(turns):
        for closed in (True, False):
            now = switches("up", emergency_extend=True, hand_crank=closed)
            bench.after(pause_s / 2.0, now)
    bench.after(60.0)
    return bench.result.outputs.lamps["nose_green"] == 255


@pytest.mark.parametrize("pause_s", [0.1, 0.5, 3.0])
def test_the_turns_decide_at_any_pace(pause_s: float) -> None:
    assert not is_down(12, pause_s)
    assert is_down(13, pause_s)


def test_only_it_has_a_crank_and_no_stroke_of_a_pump() -> None:
    assert "hand_crank" in switches_of(CRANKED)
    assert "hand_pump" not in switches_of(CRANKED)
    assert vocabulary_of(CRANKED)["crank_turns_left"].high == 13.0
    assert "hand_crank" not in switches_of(twin(emergency={"means": "hand_pump"}))
