"""What a minute of ramps costs on the bench, beside a run without them.

``python -m tests.benchmarks.ramp_minute``

A minute of values that move fifty times a second is 3,000 steps of the logic. Told is processor
time, the least of several runs: one value that no system looks at closely, five values (levers that
settle, a gauge whose needle moves), and one value that is watched by two conditions. Exit code 0
when every run passed and has a sample for every new value.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from time import process_time

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.shipped import shipped_config

RUNS = 7
TICKS = 3000
HEAD = """\
kind: scenario
format: 2
name: A minute
aircraft: {aircraft}
start: cruise clean
runs_for_s: 60
steps:
  - at_s: 0
"""
RAMPS = {
    "without a ramp": "    set: { airspeed_kias: 230 }\n",
    "one value": "    ramp: { to: { airspeed_kias: 140 }, over_s: 60 }\n",
    "five values": "    ramp: { to: { airspeed_kias: 140, altitude_ft: 3000, throttles: 0.4,"
    " hydraulic_pressure_psi: 2500 }, over_s: 60 }\n",
    "one value, two conditions": "    ramp: { to: { airspeed_kias: 140 }, over_s: 60 }\n"
    "    expect: { airspeed_kias: { above: 10 }, horn: silent }\n    throughout_s: end\n",
}


def main() -> int:
    """Measure and print; gives the exit code."""
    aircraft = shipped_config("aircraft/twin_jet.yaml").as_posix()
    good, base_s = True, 0.0
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "minute.yaml"
        for words, step in RAMPS.items():
            path.write_text(HEAD.format(aircraft=aircraft) + step, encoding="utf-8")
            (plan,) = load_scenarios(path)
            spent_s = []
            for _ in range(RUNS):
                begun_s = process_time()
                result = run_scenario(plan)
                spent_s.append(process_time() - begun_s)
                has_all = len(result.trace.samples) > TICKS or "ramp" not in step
                good = good and result.passed and has_all
            least_s = min(spent_s)
            base_s = base_s or least_s
            ramp_s = least_s - base_s
            print(
                f"{words:<28} {1000 * least_s:7.1f} ms a minute, {1000 * ramp_s:6.1f} ms of it "
                f"the ramp, {1e6 * ramp_s / TICKS:5.2f} us a value"
            )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
