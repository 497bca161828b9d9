"""Ramps go fast where nothing but values changes, and what is seen is the same."""

from __future__ import annotations

import pytest

from panelbridge.bench.world.cockpit import BenchCockpit
from tests.bench.made import Run
from tests.bench.plain import plain_config

TWIN_JET = plain_config("aircraft/twin_jet.yaml")


SPEED = "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 10 } }\n"
IDLE = "  - { at_s: 2, ramp: { to: { throttles: 0, altitude_ft: 1000 }, over_s: 7 } }\n"
PRESSURE = "  - { ramp: { to: { hydraulic_pressure_psi: 2850 }, over_s: 3 } }\n"
FAST = "{ airspeed_kias: { above: 200 } }"
SCENARIOS = {
    "alone": SPEED,
    "two at once": SPEED + IDLE,
    "a horn on the way": SPEED + IDLE + "  - { wait_for: { horn: intermittent } }\n",
    "gauge": SPEED + PRESSURE,
    "a wait for a value": SPEED + "  - { wait_for: { airspeed_kias: { below: 190 } } }\n",
    "a wait in vain": SPEED + "  - { wait_for: { airspeed_kias: 500 }, limit_s: 3.333 }\n",
    "within": SPEED + "  - { expect: { airspeed_kias: { below: 150 } }, within_s: 20 }\n",
    "within in vain": SPEED + "  - { expect: { airspeed_kias: 10 }, within_s: 4.01 }\n",
    "throughout": SPEED + f"  - {{ expect: {FAST}, throughout_s: 3 }}\n",
    "not throughout": SPEED + f"  - {{ expect: {FAST}, throughout_s: end }}\n",
    "a horn that is watched": SPEED
    + IDLE
    + "  - { expect: { horn: silent }, throughout_s: end }\n",
    "a horn that is waited for": SPEED + IDLE + "  - { never: { horn: continuous }, for_s: 6 }\n"
    "  - { expect: { horn: intermittent, airspeed_kias: { below: 190 } }, within_s: 12 }\n",
    "a switch meanwhile": SPEED + "  - { at_s: 3, move: { gear_handle: down } }\n",
    "a step between ticks": SPEED + f"  - {{ at_s: 4.2468, expect: {FAST} }}\n",
    "lost meanwhile": SPEED + "  - { at_s: 3, fault: { airspeed_kias: lost } }\n"
    "  - { at_s: 6, clear: all, expect: { airspeed_kias: 190 } }\n",
    "set meanwhile": SPEED + "  - { at_s: 3, set: { airspeed_kias: 99 } }\n",
    "a handle that follows": SPEED + "  - { at_s: 3, push: lamp_test }\n",
}


@pytest.mark.parametrize("steps", SCENARIOS.values(), ids=SCENARIOS)
def test_gliding_changes_nothing(run: Run, steps: str, monkeypatch: pytest.MonkeyPatch) -> None:
    more = "runs_for_s: 14\n"
    quick = run(steps, more=more)
    monkeypatch.setattr(BenchCockpit, "on_ramps", False)
    slow = run(steps, more=more)
    assert quick.failures == slow.failures
    assert quick.undecided == slow.undecided
    assert quick.trace.samples == slow.trace.samples
    assert quick.trace.events == slow.trace.events
    assert quick.trace.marks == slow.trace.marks
    assert quick.trace.end_s == slow.trace.end_s
    assert quick.trace.taken_transitions == slow.trace.taken_transitions


def test_ramps_glide(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """A minute of a ramp takes few whole instants; a benchmark tells what that is worth."""
    advanced: list[float] = []
    whole = BenchCockpit.advance

    def advance(self: BenchCockpit, now_s: float) -> None:
        advanced.append(now_s)
        whole(self, now_s)

    monkeypatch.setattr(BenchCockpit, "advance", advance)
    minute = "  - { at_s: 1, ramp: { to: { airspeed_kias: 140, altitude_ft: 0 }, over_s: 60 } }\n"
    result = run(minute, more="runs_for_s: 62\n")
    assert len(result.trace.samples) > 3000
    assert len([time_s for time_s in advanced if time_s > 0.0]) < 10


def test_every_tick_of_two_ramps_is_there(run: Run) -> None:
    first = "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 1 } }\n"
    second = "  - { at_s: 1.01, ramp: { to: { altitude_ft: 0, throttle_2: 0.5 }, over_s: 3 } }\n"
    samples = run(first + second, more="runs_for_s: 5\n").trace.samples
    times = {round(sample.time_s, 6) for sample in samples}
    assert {round(1.0 + 0.02 * tick, 6) for tick in range(51)} <= times
    assert {round(1.01 + 0.02 * tick, 6) for tick in range(151)} <= times
    end = samples[-1].aircraft
    assert (end.airspeed_kias, end.altitude_ft, end.throttle_fraction) == (140.0, 0.0, (0.7, 0.5))
