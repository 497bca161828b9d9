"""Lamps that a board cannot dim are dark or fully lit, on the bench as on the board.

Common practice, no source: an output of a 74HC595 is high or low and has no pulse width (its data
sheet SCHS353 names no other state). By hand: dimmer at 0, a green lamp: the logic commands 0.08 of
255 before the eye's square; a chain shows 255 of it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.shipped import shipped_config
from tests.bench.on_boards import run_on_boards

HEAD = f"""kind: scenario
format: 2
name: Dimmed
panel: {shipped_config("panels/chains_on_small_board.yaml").as_posix()}
start: final approach
steps:
  - move: {{ dimmer: 0 }}
"""
ON_CHAIN = "  - { after_s: 1, expect: { left_green: lit, left_green_brightness: %s } }\n"
ON_PIN = (
    "  - { after_s: 1, move: { gear_handle: between }, "
    "expect: { handle_red_brightness: %s }, within_s: 2 }\n"
)


@pytest.mark.parametrize(
    ("step", "value", "passes"),
    [
        (ON_CHAIN, "255", True),
        (ON_CHAIN, "{ below: 100 }", False),
        (ON_PIN, "{ above: 0, below: 100 }", True),
    ],
)
def test_the_bench_shows_what_the_board_does(
    tmp_path: Path, step: str, value: str, passes: bool
) -> None:
    path = tmp_path / "scenario.yaml"
    path.write_text(HEAD + step % value, encoding="utf-8")
    (plan,) = load_scenarios(path)
    on_bench, (on_board,) = run_scenario(plan), run_on_boards(path)
    assert [on_bench.passed, on_board.passed] == [passes, passes]
    if not passes:
        (failure,) = on_bench.failures
        said = {reason.condition for reason in failure.reasons["left_green"] if not reason.holds}
        assert "left_green can be dimmed" in said
        assert on_board.failures[0].actual == failure.actual == "left_green_brightness is 255"
