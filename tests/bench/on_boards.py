"""Scenarios that are written and then run through the link, on simulated boards in virtual time."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from panelbridge.bench.boards.on_ports import board_bench
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.clock import VirtualClock
from panelbridge.engine.waiter import Waiter
from tests.bench.plain import plain_config

DEMO = plain_config("panels/demo_panel.yaml")
HERE = "simboard://gear_panel"


def write_scenario(
    folder: Path, steps: str, *, start: str = "final approach", head: str = ""
) -> Path:
    """A file of these steps, for the plain demonstration panel unless the head says another."""
    path = folder / "scenario.yaml"
    head = head or f"panel: {DEMO.as_posix()}"
    text = f"kind: scenario\nformat: 2\nname: On a board\n{head}\nstart: {start}\nsteps:\n"
    path.write_text(text + steps, encoding="utf-8")
    return path


def run_on_boards(
    path: Path, ports: Sequence[str] = (HERE,), panel: Path | None = None
) -> list[ScenarioResult]:
    """The results of all that the file holds."""
    load, run = board_bench(
        ports, panel, load_scenarios, make_clock=VirtualClock, make_waiter=Waiter
    )
    return [run(plan) for plan in load(path)]
