"""A number that changes by itself turns a comparison at its exact time, however fast it goes."""

from __future__ import annotations

from math import inf
from pathlib import Path

import pytest

from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.trace import Sample
from panelbridge.config.load import load_aircraft
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.kit.condition_times import turn_s
from panelbridge.logic.kit.conditions import Compare, Comparison
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.world import World
from panelbridge.signals import LegState, Value
from tests.bench.jet import HYDRAULICS, LEAK, STOPPED, STOPPED_S, falls_for_s, fluid_l, jet
from tests.bench.made import Run
from tests.bench.plain import plain_config

PLAIN = load_aircraft(plain_config("aircraft/twin_jet.yaml"))
SIGNALS = signals_of(PLAIN)
NOSE, LEFT, _ = PLAIN.legs
SOON_S = 1e-6
"""By so much a comparison may turn after the crossing itself."""


def turns_at(legs: tuple[Line | None, ...], leg: str, value: Value, now_s: float) -> float:
    """When ``<leg>_travel`` comes past a value from below, s."""
    facts = GearFacts(legs=tuple(LegFacts(LegState.EXTENDING, line) for line in legs))
    sample = Sample(now_s, World({GearFacts: facts}, now_s))
    name = f"{leg}_travel"
    return turn_s(sample, SIGNALS[name], Compare(name, Comparison.AT_LEAST, value))


@pytest.mark.parametrize(("speed", "limit"), [(0.1, 0.5), (0.02, 0.3), (-0.05, 0.05)])
def test_a_line_comes_past_a_value_once(speed: float, limit: float) -> None:
    line = Line(since_s=3.0, start=0.2, rate=speed)
    due_s = 3.0 + (limit - 0.2) / speed
    turned_s = turns_at((line, None, None), "nose", limit, 3.5)
    assert turned_s == pytest.approx(due_s, abs=SOON_S)
    assert turns_at((line, None, None), "nose", limit, turned_s) == inf


def test_a_leg_that_stands_or_is_unknown_turns_nothing() -> None:
    legs = (Line(start=0.2), None, None)
    assert turns_at(legs, "nose", 0.5, 1.0) == inf
    assert turns_at(legs, "left", 0.5, 1.0) == inf


def test_a_comparison_with_no_number_turns_by_no_curve() -> None:
    line = Line(start=0.0, rate=0.1)
    assert turns_at((line, None, None), "nose", None, 1.0) == inf
    compare = Compare("airspeed_kias", Comparison.ABOVE, 100.0)
    sample = Sample(1.0, World({}, 1.0))
    assert turn_s(sample, SIGNALS["airspeed_kias"], compare) == inf


DOWN = "  - { at_s: 1, move: { gear_handle: down } }\n"
MOVED_S = 1.32
"""Hand on the handle, its travel, debouncing."""


def test_the_first_of_two_legs_ends_a_wait(run: Run) -> None:
    either = "{ any: [{ nose_travel: { above: 0.5 } }, { left_travel: { above: 0.5 } }] }"
    result = run(f"{DOWN}  - {{ wait_for: {either} }}\n")
    first_s = min(leg.unlock_s + 0.5 * leg.extend_s for leg in (NOSE, LEFT))
    assert NOSE.extend_s != LEFT.extend_s
    assert result.failures == ()
    assert result.trace.end_s == pytest.approx(MOVED_S + first_s, abs=SOON_S)


def test_both_of_two_legs_end_it_when_the_last_is_there(run: Run) -> None:
    both = "{ nose_travel: { above: 0.5 }, left_travel: { above: 0.5 } }"
    result = run(f"{DOWN}  - {{ wait_for: {both} }}\n")
    last_s = max(leg.unlock_s + 0.5 * leg.extend_s for leg in (NOSE, LEFT))
    assert result.failures == ()
    assert result.trace.end_s == pytest.approx(MOVED_S + last_s, abs=SOON_S)


# -- pressures ------------------------------------------------------------------------------------


@pytest.mark.parametrize("psi", [2800.0, 1999.5, 1234.0, 1000.0])
def test_a_wait_for_a_falling_pressure_ends_on_its_curve(tmp_path: Path, psi: float) -> None:
    wait = f"  - {{ wait_for: {{ hydraulic_pressure_psi: {{ at_most: {psi} }} }}, limit_s: 2e3 }}\n"
    result = jet(tmp_path, STOPPED + wait)
    assert result.failures == ()
    due_s = STOPPED_S + falls_for_s(HYDRAULICS.nominal_psi, psi, LEAK)
    assert result.trace.end_s == pytest.approx(due_s, abs=SOON_S)


def test_a_leak_that_begins_on_the_way_bends_the_curve(tmp_path: Path) -> None:
    result = jet(
        tmp_path,
        f"{STOPPED}  - {{ after_s: 10, fault: {{ hydraulics: leaking }} }}\n"
        "  - { wait_for: { hydraulic_pressure_psi: { below: 1500 } }, limit_s: 900 }\n",
    )
    assert result.failures == ()
    rest_l = fluid_l(HYDRAULICS.nominal_psi) - 10.0 * LEAK - fluid_l(1500.0)
    due_s = STOPPED_S + 10.0 + rest_l / (LEAK + HYDRAULICS.leak_l_per_s)
    assert result.trace.end_s == pytest.approx(due_s, abs=SOON_S)


def test_an_interval_fails_when_a_pressure_comes_past_its_limit(tmp_path: Path) -> None:
    never = "  - { never: { hydraulic_pressure_psi: { below: 2345 } }, for_s: 800 }\n"
    (failure,) = jet(tmp_path, STOPPED + never).failures
    due_s = STOPPED_S + falls_for_s(HYDRAULICS.nominal_psi, 2345.0, LEAK)
    assert failure.time_s == pytest.approx(due_s, abs=SOON_S)
    assert failure.actual == "hydraulic_pressure_psi is 2345 psi"


def test_a_wait_for_a_pressure_costs_no_samples(tmp_path: Path) -> None:
    wait = "  - { wait_for: { hydraulic_accumulator_l: { below: 0.5 } }, limit_s: 2000 }\n"
    assert len(jet(tmp_path, STOPPED + wait).trace.samples) < 80
