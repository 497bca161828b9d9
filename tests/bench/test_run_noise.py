"""Noise on values: in its band, the same in every run, and gone when it has ended.

What it keeps: |seen - true| <= amplitude, within the value's own limits. By hand: 2 s of noise in
steps of 0.02 s are 100 values; an amplitude of 3 about 240 kt stays from 237 to 243.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.moving_values import VALUE_STEP_S, Noise, NoisyValue, RampLine
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, throttle
from tests.bench.made import Run
from tests.bench.on_boards import run_on_boards, write_scenario

NUMBERS = st.floats(-50.0, 50.0)


@given(
    value=NUMBERS,
    amplitude=st.floats(0.001, 100.0),
    seed=st.integers(0, 9),
    step=st.integers(0, 10**7),
)
def test_law_noise_stays_in_its_band_and_limits_and_repeats(
    value: float, amplitude: float, seed: int, step: int
) -> None:
    noise = Noise(0.0, 1e9, amplitude, -50.0, 50.0, f"{seed} flap_deg")
    now_s = step * VALUE_STEP_S
    seen = noise.over(value, now_s)
    assert abs(seen - value) <= amplitude * (1 + 1e-12) + 1e-12
    assert -50.0 <= seen <= 50.0
    assert seen == Noise(0.0, 1e9, amplitude, -50.0, 50.0, f"{seed} flap_deg").over(value, now_s)
    assert noise.over(value, now_s + VALUE_STEP_S / 2) == seen, "between two steps it stands"


def test_noise_is_evenly_spread_and_differs_by_seed_and_name() -> None:
    steps = [VALUE_STEP_S * n for n in range(4000)]

    def values(key: str) -> list[float]:
        noise = Noise(0.0, 1e9, 1.0, -9.0, 9.0, key)
        return [noise.over(0.0, now_s) for now_s in steps]

    first = values("1 flap_deg")
    for low in (-1.0, -0.5, 0.0, 0.5):
        share = sum(low <= value < low + 0.5 for value in first) / len(first)
        assert share == pytest.approx(0.25, abs=0.03)
    for other in ("2 flap_deg", "1 altitude_ft"):
        pairs = zip(first, values(other), strict=True)
        assert sum(a * b for a, b in pairs) / len(first) == pytest.approx(0.0, abs=0.03)


def test_noise_lies_over_a_ramp_and_ends() -> None:
    line = RampLine(0.0, 1.0, 0.0, 100.0)
    noisy = NoisyValue(line, Noise(0.25, 0.5, 2.0, 0.0, 200.0, "1 x"))
    assert noisy.at(0.2) == line.at(0.2)
    assert 0.0 < abs(noisy.at(0.3) - line.at(0.3)) <= 2.0
    assert noisy.at(0.5) == line.at(0.5)
    assert noisy.next_s(0.49) == 0.5
    assert noisy.next_s(2.0) == float("inf")


NOISE = "  - { at_s: 1, noise: { amplitude: { airspeed_kias: 3 }, for_s: 2 } }\n"


def speeds(result: ScenarioResult) -> list[tuple[float, float | None]]:
    return [(round(s.time_s, 6), s[AIRSPEED_KIAS]) for s in result.trace.samples]


def test_a_run_has_the_noise_and_every_run_the_same(run: Run) -> None:
    found = speeds(run(NOISE, more="runs_for_s: 4\n"))
    noisy = [speed for time_s, speed in found if 1.0 <= time_s < 3.0]
    assert len(noisy) >= 100
    assert len({*noisy}) >= 100
    assert all(speed is not None and 237.0 <= speed <= 243.0 for speed in noisy)
    assert {speed for time_s, speed in found if not 1.0 <= time_s < 3.0} == {240.0}
    assert speeds(run(NOISE, more="runs_for_s: 4\n")) == found
    other = NOISE.replace("for_s: 2", "for_s: 2, seed: 2")
    assert speeds(run(other, more="runs_for_s: 4\n")) != found


def test_noise_goes_on_over_what_is_set_and_0_ends_it(run: Run) -> None:
    steps = (
        "  - { at_s: 1, noise: { amplitude: { throttle_1: 0.1 } } }\n"
        "  - { at_s: 2, set: { throttle_1: 0.5 } }\n"
        "  - { at_s: 3, set: { throttle_1: 0 } }\n"
        "  - { at_s: 4, set: { throttle_1: unknown } }\n"
        "  - { at_s: 5, set: { throttle_1: 1 } }\n"
        "  - { at_s: 6, noise: { amplitude: { throttle_1: 0 } } }\n"
    )
    samples = [*run(steps, more="runs_for_s: 7\n").trace.samples]

    def between(low_s: float, high_s: float) -> list[float | None]:
        return [s[throttle(0)] for s in samples if low_s < s.time_s < high_s]

    assert all(value is not None and 0.4 <= value <= 0.6 for value in between(2, 3))
    at_end = [value for value in between(3, 4) if value is not None]
    assert len(at_end) > 40
    assert all(0.0 <= value <= 0.1 for value in at_end)
    assert at_end.count(0.0) > 10, "half of it would be below what a lever can be"
    assert {*between(4, 5)} <= {None}
    assert max(value or 0.0 for value in between(5, 6)) == 1.0
    assert samples[-1][throttle(0)] == 1.0


def test_a_lost_value_has_no_noise_and_a_stuck_one_stays(run: Run) -> None:
    steps = (
        "  - { at_s: 1, noise: { amplitude: { airspeed_kias: 3 } } }\n"
        "  - { at_s: 2, fault: { airspeed_kias: stuck } }\n"
        "  - { at_s: 3, clear: all, fault: { airspeed_kias: lost } }\n"
    )
    found = speeds(run(steps, more="runs_for_s: 4\n"))
    stuck = {speed for time_s, speed in found if 2.0 <= time_s < 3.0}
    assert len(stuck) == 1
    assert stuck != {240.0}
    # At the instant itself a sample of before counts no more than the last of that instant.
    assert {speed for time_s, speed in found if time_s > 3.0} <= {None}


def test_noise_on_boards_too(tmp_path: Path) -> None:
    steps = (
        "  - { at_s: 0.5, set: { airspeed_kias: 120 },"
        " noise: { amplitude: { airspeed_kias: 5 } } }\n"
        "  - { after_s: 0.5, expect: { airspeed_kias: { at_least: 115, at_most: 125 } },"
        " throughout_s: 1 }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    assert result.passed, result.failures
    late = [s[AIRSPEED_KIAS] for s in result.trace.samples if s.time_s > 0.7]
    assert len({*late}) > 10
