"""Ramps: where nothing but values changes samples are cheap, and show the same."""

from __future__ import annotations

import gc
import tracemalloc
from itertools import pairwise

import pytest

from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.reports import tracks
from panelbridge.bench.reports.tracks import instants
from panelbridge.bench.verdict.trace import Sample, Samples, ScenarioResult
from panelbridge.bench.world.cockpit import BenchCockpit
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, ALTITUDE_FT, throttle
from panelbridge.signals import Value
from tests.bench.made import Run, recorded
from tests.bench.plain import plain_config
from tests.examples import few_of

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


def recorded_when(result: ScenarioResult) -> dict[float, dict[str, Value]]:
    """What every signal was at the end of each instant that has a sample."""
    return dict(recorded(result))


@pytest.mark.parametrize("steps", few_of(SCENARIOS.values(), 6), ids=SCENARIOS)
def test_a_sample_on_a_ramp_shows_what_a_whole_one_does(
    run: Run, steps: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    more = "runs_for_s: 14\n"
    quick = run(steps, more=more)
    monkeypatch.setattr(BenchCockpit, "_seen", lambda self: (object(),))
    whole = run(steps, more=more)
    assert quick.failures == whole.failures
    assert quick.undecided == whole.undecided
    assert quick.trace.events == whole.trace.events
    assert quick.trace.marks == whole.trace.marks
    assert quick.trace.end_s == whole.trace.end_s
    assert quick.trace.taken_transitions == whole.trace.taken_transitions
    at_once, of_whole = recorded_when(quick), recorded_when(whole)
    assert len(at_once) > 100
    assert {time_s: of_whole[time_s] for time_s in at_once} == at_once


def test_a_ramp_takes_few_whole_samples(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """A minute of a ramp; a benchmark shows what that is worth."""
    whole: list[float] = []
    make = BenchCockpit._make

    def noted(self: BenchCockpit, now_s: float) -> Sample:
        whole.append(now_s)
        return make(self, now_s)

    monkeypatch.setattr(BenchCockpit, "_make", noted)
    minute = "  - { at_s: 1, ramp: { to: { airspeed_kias: 140, altitude_ft: 0 }, over_s: 60 } }\n"
    result = run(minute, more="runs_for_s: 62\n")
    samples = result.trace.samples
    assert len(samples) > 3000
    assert len(whole) < 10
    sharing = [after.is_only_later(before) for before, after in pairwise(samples)]
    assert sharing.count(False) < 10, "the others hold nothing but their time"


def test_every_tick_of_two_ramps_is_there(run: Run) -> None:
    first = "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 1 } }\n"
    second = "  - { at_s: 1.01, ramp: { to: { altitude_ft: 0, throttle_2: 0.5 }, over_s: 3 } }\n"
    samples = run(first + second, more="runs_for_s: 5\n").trace.samples
    times = {round(sample.time_s, 6) for sample in samples}
    assert {round(1.0 + 0.02 * tick, 6) for tick in range(51)} <= times
    assert {round(1.01 + 0.02 * tick, 6) for tick in range(151)} <= times
    end = samples[-1]
    assert (end[AIRSPEED_KIAS], end[ALTITUDE_FT]) == (140.0, 0.0)
    assert (end[throttle(0)], end[throttle(1)]) == (0.7, 0.5)


@pytest.mark.parametrize("steps", few_of(SCENARIOS.values(), 6), ids=SCENARIOS)
def test_samples_that_are_made_when_read_are_those_that_were_taken(
    run: Run, steps: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken: list[Sample] = []
    append = Samples.append

    def noted(self: Samples, sample: Sample) -> None:
        taken.append(sample)
        append(self, sample)

    monkeypatch.setattr(Samples, "append", noted)
    result = run(steps, more="runs_for_s: 14\n")
    samples = result.trace.samples
    assert [s.time_s for s in samples] == [s.time_s for s in taken]
    assert len(samples) == len(taken) > 100
    assert samples[-1] is taken[-1]
    assert len([*samples.whole]) < len(taken) / 5
    for signal in signals_of(result.plan.aircraft, None).values():
        assert [signal.read(s) for s in samples] == [signal.read(s) for s in taken], signal.name


MINUTE = "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 60 } }\n"
BESIDE = "  - { at_s: 1.01, ramp: { to: { altitude_ft: 0 }, over_s: 60 } }\n"
LOST = "  - { at_s: 2, fault: { feed: lost } }\n"


@pytest.mark.parametrize("more", ["", LOST], ids=["seen", "lost"])
@pytest.mark.thorough
def test_a_day_of_two_ramps_fits_in_little_memory(run: Run, more: str) -> None:
    """A day may keep 50 MB more than an hour: 604 bytes a second; here 40 seconds more."""
    kept = []
    run(MINUTE + BESIDE + more, more="runs_for_s: 3\n")  # what is read once for all runs
    for seconds in (5, 45):
        gc.collect()
        tracemalloc.start()
        result = run(MINUTE + BESIDE + more, more=f"runs_for_s: {seconds}\n")
        kept.append(tracemalloc.get_traced_memory()[0])
        tracemalloc.stop()
        assert len([*result.trace.samples.whole]) < 10
    assert kept[1] - kept[0] < 50e6 / (24 - 1) / 3600 * 40


def test_long_ramps_are_drawn_with_fewer_points(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tracks, "MOST_RAMP_SAMPLES", 1000)
    result = run(MINUTE + BESIDE, more="runs_for_s: 62\n")
    assert len(result.trace.samples) > 5000
    shown = instants(result.trace)
    assert 500 < len(shown) < 1010
    whole = {sample.time_s for sample in result.trace.samples.whole}
    assert whole <= {sample.time_s for sample in shown}
    assert (shown[-1][AIRSPEED_KIAS], shown[-1][ALTITUDE_FT]) == (140.0, 0.0)
