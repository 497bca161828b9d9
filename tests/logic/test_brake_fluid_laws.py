"""What holds of the fluid and the energy of the brakes, with all systems of the twin jet.

Conserved: reservoir + accumulators + brakes + lost = 6.2 l, always. Limits: a wheel has no more
pressure than its source; without supply the energy of the brakes never rises.
"""

from __future__ import annotations

import pickle
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.brakes.facts import BrakesFacts, BrakeSupplyFacts, WheelBrakesFacts
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from tests.examples import examples
from tests.logic.brake_jet import BrakeJet

FRACTION = st.sampled_from([0.0, 0.3, 1.0]) | st.floats(0.0, 1.0)
CHANGES = st.one_of(
    st.fixed_dictionaries({"pedals": st.tuples(FRACTION, FRACTION)}),
    st.fixed_dictionaries({"pedals": st.sampled_from([0.0, 1.0])}),
    st.fixed_dictionaries({"left_outer_rpm": st.sampled_from([0.0, 50.0, 900.0])}),
    *(
        st.fixed_dictionaries({name: FRACTION | st.none()})
        for name in ("parking_brake", "emergency_brake")
    ),
    *(
        st.fixed_dictionaries({name: st.booleans()})
        for name in ("engines", "antiskid", "on_ground", "aux_pump")
    ),
)
FAULTS = st.none() | st.sampled_from(
    [
        ("hydraulics", "leaking"),
        ("hydraulics", None),
        ("brake_accumulator", "empty"),
        ("brake_accumulator", None),
        ("parking_brake", "sticking"),
        ("parking_brake", None),
        ("air_bottle", "leaking"),
    ]
)
WAITS = st.sampled_from([0.0, 0.02, 0.3, 1.0, 7.0, 60.0, 900.0])
MOVES = st.lists(st.tuples(WAITS, CHANGES, FAULTS), max_size=25)


def play(jet: BrakeJet, moves: list[Any]) -> None:
    for wait_s, changes, fault in moves:
        jet.at(jet.now_s + wait_s, **changes)
        if fault is not None:
            jet.logic.set_fault(jet.now_s, *fault)
            jet.at(jet.now_s)
        hold(jet)


def hold(jet: BrakeJet) -> None:
    world, now_s = jet.logic.world(), jet.now_s
    hydraulics, supply = world[HydraulicsFacts], world[BrakeSupplyFacts]
    parts = (hydraulics.accumulator_l, hydraulics.reservoir_l, hydraulics.lost_l, hydraulics.held_l)
    volumes = [part.at(now_s) for part in parts]
    assert abs(sum(volumes) - 6.2) < 1e-6
    assert min(volumes) > -1e-6
    assert supply.store is not None
    stored_l = supply.store.fluid_l.at(now_s)
    wanted_l = sum(world[WheelBrakesFacts].wanted) * 0.05 / 80
    assert stored_l - 1e-6 <= volumes[3] <= stored_l + wanted_l + 1e-6
    store_psi, air_psi = supply.store.at(now_s), world[EmergencyFacts].air.at(now_s)
    line_psi = hydraulics.pressure.at(now_s) if hydraulics.pressure else 0.0
    source_psi = max(store_psi, line_psi if hydraulics.serves("wheel_brakes") else 0.0)
    if world[BrakesFacts].emergency_braking:
        source_psi = air_psi
    parked_psi = world[BrakesFacts].parking_psi.at(now_s)
    for wheel, psi in zip(("outer", "inner"), world[WheelBrakesFacts].pressed_psi, strict=False):
        assert psi <= source_psi + 1e-3
        assert jet.value(f"left_{wheel}_wheel_brake_psi") == max(psi, parked_psi)


@settings(deadline=None, max_examples=examples(60))
@given(moves=MOVES)
def test_fluid_is_conserved_and_no_wheel_has_more_than_its_source(moves: list[Any]) -> None:
    jet = BrakeJet(engines=True)
    hold(jet)
    play(jet, moves)


@settings(deadline=None, max_examples=examples(40))
@given(moves=MOVES)
def test_without_supply_the_energy_of_the_brakes_never_rises(moves: list[Any]) -> None:
    jet = BrakeJet()
    was = jet.value("brake_applications_left"), jet.value("brake_accumulator_psi")
    for wait_s, changes, _ in moves:
        if {"engines", "aux_pump"} & {*changes}:
            continue
        jet.at(jet.now_s + wait_s, **changes)
        now = jet.value("brake_applications_left"), jet.value("brake_accumulator_psi")
        assert now[0] <= was[0]
        assert now[1] <= was[1]
        was = now


@settings(deadline=None, max_examples=examples(30))
@given(moves=MOVES, after=st.integers(0, 25))
def test_saved_and_restored_it_goes_on_the_same(moves: list[Any], after: int) -> None:
    first, second = BrakeJet(engines=True), BrakeJet()
    play(first, moves[:after])
    second.logic.restore(pickle.loads(pickle.dumps(first.logic.save())))
    second.now_s, second.switches, second.state = first.now_s, first.switches, first.state
    second.result = first.result
    play(first, moves[after:])
    play(second, moves[after:])
    assert second.logic.save() == first.logic.save()


@settings(deadline=None, max_examples=examples(30))
@given(moves=MOVES)
def test_it_does_not_matter_how_often_one_steps(moves: list[Any]) -> None:
    once, often = BrakeJet(engines=True), BrakeJet(engines=True)
    for wait_s, changes, _ in moves:
        start_s = often.now_s
        for part in range(1, 4):
            often.at(start_s + wait_s * part / 4)
        once.at(start_s + wait_s, **changes)
        often.at(start_s + wait_s, **changes)
        assert often.logic.view().values == once.logic.view().values
