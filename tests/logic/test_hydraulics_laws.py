"""Laws of the hydraulic system over any sequence of switches, failures and lost data."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.hydraulics.system import AUX_PUMP, FLUID_TEST
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from tests.examples import examples
from tests.logic.scenes.hydraulics import Scene, a_twin, changed_twin

LOW = "hydraulic_pressure_low_amber"
FLUID_LOW = "hydraulic_fluid_low_amber"
Action = Callable[[Scene], None]
maybe = st.sampled_from([True, False, None])


def _given(name: str) -> Callable[[Any], Action]:
    return lambda value: lambda scene: _ignore(scene.at(scene.now_s, **{name: value}))


def _breaking(fault: tuple[str, str | None]) -> Action:
    return lambda scene: _ignore(scene.fault(*fault))


def _ignore(_: object) -> None:
    """The scene itself."""


actions = st.one_of(
    st.tuples(maybe, maybe).map(_given("engine_running")),
    maybe.map(_given("aux_switch")),
    maybe.map(_given("bus_powered")),
    maybe.map(_given("fluid_test")),
    st.sampled_from([0.0, 0.01, 0.05, 0.2, 0.7, 5.0]).map(_given("gear_l_per_s")),
    st.tuples(
        st.sampled_from(["engine_1_supply", "engine_2_supply", "aux_pump"]),
        st.sampled_from(["failed", None]),
    ).map(_breaking),
    st.just(("aux_pump", "runs_on")).map(_breaking),
    st.sampled_from(["leaking", "leaking", None]).map(lambda kind: _breaking(("hydraulics", kind))),
)
sequences = st.lists(st.tuples(st.floats(0.0, 60.0), actions), max_size=25)
numbers = st.sampled_from(
    [
        changed_twin(),
        changed_twin(internal_leak_l_per_s=0.0),
        changed_twin(leak_l_per_s=0.5, reservoir_l=3.5),
        changed_twin(nominal_psi=2600.0, internal_leak_l_per_s=0.06),
    ]
)


def _check(scene: Scene, parameters: HydraulicsParameters) -> None:
    scene.hold()
    facts, world = scene.facts, scene.loop.world(scene.now_s)
    psi, values = scene.psi, scene.values
    assert psi is not None
    assert 0.0 <= psi <= parameters.relief_psi
    assert psi == 0.0 or psi >= parameters.accumulator.precharge_psi
    # The precharge that comes with the first drop is shown before there is a drop.
    shown = max(psi, parameters.accumulator.precharge_psi if facts.accumulator_l.rate > 0 else 0.0)
    gauge_psi = scene.gauge_psi
    assert gauge_psi is not None
    assert abs(gauge_psi - shown) < parameters.gauge_step_psi + 1e-4
    parts = [values[f"hydraulic_{part}_l"] for part in ("reservoir", "accumulator", "lost")]
    assert all(isinstance(part, float) and part >= 0.0 for part in parts)
    assert sum(part for part in parts if isinstance(part, float)) == pytest.approx(
        parameters.reservoir_l, abs=1e-9
    )
    margin = 1e-6
    assert LOW in scene.lit or psi > parameters.low_psi - margin
    assert LOW not in scene.lit or psi < parameters.low_clear_psi + margin
    if psi <= parameters.usable_psi - margin:
        assert scene.consumers == ()
    if psi >= parameters.usable_again_psi + margin:
        assert set(parameters.accumulator.serves) <= set(scene.consumers)
    if scene.aux_running and not facts.aux_runs_on:
        assert world[AUX_PUMP] is True
        assert world[BUS_POWERED] is not False
        assert parameters.aux_pump is not None
        assert psi <= parameters.aux_pump.cut_out_psi + margin
    assert world[FLUID_TEST] is not True or FLUID_LOW in scene.lit


@settings(max_examples=examples(80), deadline=None)
@given(numbers, sequences)
def test_pressure_within_limits_and_no_fluid_made_or_lost_unseen(
    parameters: HydraulicsParameters, sequence: list[tuple[float, Action]]
) -> None:
    scene = Scene(parameters)
    for wait_s, act in sequence:
        until_s = scene.now_s + wait_s
        while scene.loop.next_due_s <= until_s:
            scene.at(scene.loop.next_due_s)
            _check(scene, parameters)
        scene.at(until_s)
        _check(scene, parameters)
        act(scene)
        _check(scene, parameters)


@settings(max_examples=examples(100), deadline=None)
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
        assert fine.facts == coarse.facts
        assert fine.system.memory == coarse.system.memory
    assert fine.events == coarse.events


@settings(max_examples=examples(60), deadline=None)
@given(numbers, st.sampled_from(["model", "feed"]), sequences, st.integers(0, 25))
def test_saved_anywhere_and_restored_it_goes_on_in_the_same_way(
    parameters: HydraulicsParameters,
    authority: Literal["model", "feed"],
    sequence: list[tuple[float, Action]],
    saved_after: int,
) -> None:
    scene, other = Scene(parameters, authority), Scene(parameters, authority)
    before, after = sequence[:saved_after], sequence[saved_after:]
    for wait_s, act in before:
        scene.after(wait_s)
        act(scene)
    other.resume(scene)
    scene.events.clear()
    other.events.clear()
    for wait_s, act in after:
        for one in (scene, other):
            one.after(wait_s)
            act(one)
        assert other.values == scene.values
    assert other.loop.save() == scene.loop.save()
    assert other.events == scene.events


reported = st.one_of(st.none(), st.floats(-100.0, 4000.0), st.just(float("nan")))


@settings(max_examples=examples(150), deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 30.0), reported, actions), max_size=25))
def test_what_the_feed_reports_is_shown_within_limits(
    sequence: list[tuple[float, float | None, Action]],
) -> None:
    parameters = a_twin()
    scene = Scene(authority="feed")
    for wait_s, psi, act in sequence:
        scene.after(wait_s, fed_psi=psi)
        act(scene)
        shown = scene.psi
        if shown is None:
            assert scene.consumers == ()
            assert LOW in scene.lit
            assert scene.gauge_psi is None
            continue
        assert psi is not None
        assert shown == min(max(psi, 0.0), parameters.relief_psi)
        gauge = scene.gauge_psi
        assert gauge is not None
        assert abs(gauge - shown) < parameters.gauge_step_psi
        assert LOW in scene.lit or shown > parameters.low_psi
        assert LOW not in scene.lit or shown < parameters.low_clear_psi
        scene.hold()
