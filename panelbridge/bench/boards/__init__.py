"""Scenarios in real time, on real or simulated boards."""

from panelbridge.bench.boards.on_ports import board_bench, run_scenario_on_board

__all__ = ["board_bench", "run_scenario_on_board"]
