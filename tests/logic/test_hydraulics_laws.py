"""Laws of the hydraulic system over any sequence of switches, failures and lost data."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.hydraulic_parameters import CONSUMERS, HydraulicsParameters
from panelbridge.logic.rule import reasons_of
from tests.logic.scenes.hydraulics import Scene, a_twin

LOW = "hydraulic_pressure_low_amber"
FLUID_LOW = "hydraulic_fluid_low_amber"
Action = Callable[[Scene], None]
maybe = st.sampled_from([True, False, None])
consumers = st.sampled_from(CONSUMERS)


def twin(**values: object) -> HydraulicsParameters:
    return HydraulicsParameters.model_validate({**a_twin().model_dump(), **values})


def _given(name: str) -> Callable[[Any], Action]:
    return lambda value: lambda scene: scene.at(scene.now_s, **_named(name, value))


def _named(name: str, value: Any) -> Any:
    return {name: value}


actions = st.one_of(
    st.tuples(maybe, maybe).map(_given("engine_running")),
    maybe.map(_given("aux_switch")),
    maybe.map(_given("bus_powered")),
    maybe.map(_given("fluid_test")),
    st.dictionaries(consumers, st.sampled_from([0.0, 0.01, 0.05, 0.2, 0.7]), max_size=3).map(
        lambda loads: lambda scene: scene.draw(**loads)
    ),
    st.tuples(consumers, st.floats(0.0, 0.5)).map(
        lambda stroke: lambda scene: _ignore(scene.spend(*stroke))
    ),
    st.tuples(
        st.sampled_from(["engine_1_supply", "engine_2_supply", "aux_pump"]),
        st.sampled_from(["failed", None]),
    ).map(lambda fault: lambda scene: scene.fault(*fault)),
    st.just(("aux_pump", "runs_on")).map(lambda fault: lambda scene: scene.fault(*fault)),
    st.sampled_from(["leaking", "leaking", None]).map(
        lambda kind: lambda scene: scene.fault("hydraulics", kind)
    ),
)
sequences = st.lists(st.tuples(st.floats(0.0, 60.0), actions), max_size=25)
numbers = st.sampled_from(
    [
        twin(),
        twin(internal_leak_l_per_s=0.0),
        twin(leak_l_per_s=0.5, reservoir_l=3.5),
        twin(nominal_psi=2600.0, internal_leak_l_per_s=0.06),
    ]
)


def _ignore(_: object) -> None:
    """A stroke that gets nothing is no mistake."""


def _check(scene: Scene, parameters: HydraulicsParameters) -> None:
    runs_on = any("runs on" in fault for fault in scene.system.faults())
    psi, values, system = scene.psi, scene.values, scene.system
    assert psi is not None
    assert 0.0 <= psi <= parameters.relief_psi
    assert psi == 0.0 or psi >= parameters.accumulator.precharge_psi
    parts = [values[f"hydraulic_{part}_l"] for part in ("reservoir", "accumulator", "lost")]
    assert all(isinstance(part, float) and part >= 0.0 for part in parts)
    assert sum(part for part in parts if isinstance(part, float)) == pytest.approx(
        parameters.reservoir_l, abs=1e-9
    )
    margin = 1e-6
    assert LOW in scene.lit or psi > parameters.low_psi - margin
    assert LOW not in scene.lit or psi < parameters.low_clear_psi + margin
    if psi <= parameters.usable_psi - margin:
        assert system.consumers == ()
    if psi >= parameters.usable_again_psi + margin:
        assert set(parameters.accumulator.serves) <= set(system.consumers)
    if system.aux_running and not runs_on:
        assert scene.inputs["aux_switch"] is True
        assert scene.inputs["bus_powered"] is not False
        assert parameters.aux_pump is not None
        assert psi <= parameters.aux_pump.cut_out_psi + margin
    assert scene.inputs["fluid_test"] is not True or FLUID_LOW in scene.lit
    for lamp, lit in system.lit().items():
        reasons = reasons_of(system.decisions(lamp))
        assert lit is any(r.holds for r in reasons if r.condition.startswith("rule: "))
        looked_at = [r for r in reasons if not r.condition.startswith("rule: ")]
        assert lit is any(reason.holds for reason in looked_at)
    for info in system.published:
        value = values[info.name]
        if info.form == "number" and value is not None:
            assert isinstance(value, (int, float))
            assert info.low - 1e-9 <= value <= info.high + 1e-9
        if info.form == "word":
            assert value in info.words
    assert set(values) == {info.name for info in system.published}


@settings(max_examples=150, deadline=None)
@given(numbers, sequences)
def test_pressure_within_limits_and_no_fluid_made_or_lost_unseen(
    parameters: HydraulicsParameters, sequence: list[tuple[float, Action]]
) -> None:
    scene = Scene(parameters)
    for wait_s, act in sequence:
        until_s = scene.now_s + wait_s
        while scene.timers.next_due_s <= until_s:
            scene.at(scene.timers.next_due_s)
            _check(scene, parameters)
        scene.at(until_s)
        _check(scene, parameters)
        act(scene)
        _check(scene, parameters)


@settings(max_examples=100, deadline=None)
@given(numbers, sequences, st.sampled_from([0.02, 0.5, 7.0]))
def test_coarse_or_fine_steps_give_the_same(
    parameters: HydraulicsParameters, sequence: list[tuple[float, Action]], step_s: float
) -> None:
    coarse, fine = Scene(parameters), Scene(parameters)
    for wait_s, act in sequence:
        until_s = coarse.now_s + wait_s
        for number in range(1, min(int(wait_s / step_s), 50)):
            fine.at(coarse.now_s + number * step_s)
        coarse.at(until_s)
        fine.at(until_s)
        act(coarse)
        act(fine)
        assert (fine.psi, fine.lit, fine.values) == (coarse.psi, coarse.lit, coarse.values)
        assert fine.system.gauge_psi == coarse.system.gauge_psi
    assert fine.events == coarse.events


told = st.one_of(st.none(), st.floats(-100.0, 4000.0), st.just(float("nan")))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 30.0), told, actions), max_size=25))
def test_what_the_feed_tells_is_shown_within_limits(
    sequence: list[tuple[float, float | None, Action]],
) -> None:
    parameters = a_twin()
    scene = Scene(authority="feed")
    for wait_s, psi, act in sequence:
        scene.after(wait_s, told_pressure_psi=psi)
        act(scene)
        shown = scene.psi
        if shown is None:
            assert scene.system.consumers == ()
            assert LOW in scene.lit
            assert scene.system.gauge_psi is None
            continue
        assert psi is not None
        assert shown == min(max(psi, 0.0), parameters.relief_psi)
        gauge = scene.system.gauge_psi
        assert gauge is not None
        assert abs(gauge - shown) < parameters.gauge_step_psi
        assert LOW in scene.lit or shown > parameters.low_psi
        assert LOW not in scene.lit or shown < parameters.low_clear_psi
        for lamp, lit in scene.system.lit().items():
            reasons = reasons_of(scene.system.decisions(lamp))
            assert lit is any(r.holds for r in reasons if r.condition.startswith("rule: "))
