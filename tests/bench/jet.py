"""The whole twin jet on the bench, and what its accumulator does by arithmetic of its own."""

from __future__ import annotations

from pathlib import Path

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from tests.bench.made import TARGETS

JET = shipped_config("aircraft/twin_jet.yaml")
HYDRAULICS = load_aircraft(JET).group(HydraulicsParameters)
LEAK = HYDRAULICS.internal_leak_l_per_s
AIR_PSI = 14.7
STOPPED_S = 2.0
STOPPED = f"  - {{ at_s: {STOPPED_S}, set: {{ engines: stopped }} }}\n"
"""From now on the pressure falls: what valves let through comes out of the accumulator."""


def jet(tmp_path: Path, steps: str, more: str = "") -> ScenarioResult:
    """Run steps of the whole twin jet, on its way to the runway with both engines running."""
    path = tmp_path / "scenario.yaml"
    head = f"kind: scenario\nformat: 2\nname: Test\naircraft: {JET.as_posix()}\nstart: taxi\n"
    path.write_text(f"{head}{more}steps:\n{steps}", encoding="utf-8")
    return run_scenario(load_scenarios(path, TARGETS)[0])


def fluid_l(psi: float) -> float:
    """What is in the accumulator at a pressure (Boyle's law, absolute pressure), litres."""
    gas = HYDRAULICS.accumulator
    return gas.gas_volume_l * (1.0 - (gas.precharge_psi + AIR_PSI) / (psi + AIR_PSI))


def pressure_psi(litres: float) -> float:
    """Its pressure with this much fluid, psi."""
    gas = HYDRAULICS.accumulator
    psia = (gas.precharge_psi + AIR_PSI) * gas.gas_volume_l / (gas.gas_volume_l - litres)
    return psia - AIR_PSI


def falls_for_s(from_psi: float, to_psi: float, flow_l_per_s: float) -> float:
    """How long the pressure takes, s."""
    return (fluid_l(from_psi) - fluid_l(to_psi)) / flow_l_per_s
