"""Lamps of a builder's own: when they are lit, when they have to be looked at, what they tell."""

from __future__ import annotations

from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.inventory import signals_of_aircraft
from panelbridge.logic.own_lamps import OwnLamps
from panelbridge.logic.signal_table import Shown
from panelbridge.signals import AircraftState, Reason
from tests.logic.build import DOWN, UP, Bench, air, changed, switches, twin

CONDITION: dict[str, Any] = {"flap_deg": {"above": 10}}


def with_lamps(**lamps: dict[str, Any]) -> AircraftParameters:
    """The twin with lamps of its own, each under its condition."""
    named = {name: {"label": f"label of {name}", "lit_when": when} for name, when in lamps.items()}
    return twin(own_lamps=named)


def flying(condition: dict[str, Any], **values: Any) -> Bench:
    """A bench in the air with one lamp of its own: own_amber."""
    bench = Bench(with_lamps(own_amber=condition))
    bench.at(0.0, switches("down"), air(**values))
    return bench


def is_lit(bench: Bench) -> bool:
    return "own_amber" in bench.lit


def own(condition: dict[str, Any]) -> OwnLamps:
    """The lamps by themselves, with one under this condition."""
    aircraft = with_lamps(own_amber=condition)
    return OwnLamps(aircraft.own_lamps, signals_of_aircraft(aircraft), values_of(aircraft))


@pytest.mark.parametrize(
    ("comparison", "lit_at"),
    [
        ("above", {10.5}),
        ("at_least", {10.0, 10.5}),
        ("below", {9.5}),
        ("at_most", {9.5, 10.0}),
        ("is", {10.0}),
    ],
)
def test_a_lamp_follows_its_limit(comparison: str, lit_at: set[float]) -> None:
    bench = flying({"flap_deg": {comparison: 10}}, flap_deg=None)
    assert not is_lit(bench)
    for flap_deg in (9.5, 10.0, 10.5, 10.0, 9.5, 10.5, 9.5):
        bench.after(0.02, aircraft=changed(bench.aircraft, flap_deg=flap_deg))
        assert is_lit(bench) is (flap_deg in lit_at), flap_deg
    bench.after(0.02, aircraft=changed(bench.aircraft, flap_deg=None))
    assert not is_lit(bench)


def test_what_is_unknown_lights_neither_a_condition_nor_its_opposite() -> None:
    lamps = with_lamps(own_amber=CONDITION, other_white={"not": CONDITION})
    bench = Bench(lamps)
    bench.at(0.0, switches("down"), air(flap_deg=None))
    assert not {"own_amber", "other_white"} & bench.lit
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=20.0))
    assert "own_amber" in bench.lit
    assert "other_white" not in bench.lit
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=0.0))
    assert "own_amber" not in bench.lit
    assert "other_white" in bench.lit


def test_a_lamp_of_switches_and_of_the_gear() -> None:
    bench = Bench(with_lamps(own_amber={"horn_silence": "pressed", "gear": "locked_down"}))
    bench.at(0.0, switches("down"), air())
    assert not is_lit(bench)
    bench.after(1.0, changed(bench.switches, horn_silence=True))
    assert is_lit(bench)
    bench.after(1.0, changed(bench.switches, horn_silence=False))
    assert not is_lit(bench)
    bench.after(1.0, switches("up", horn_silence=True))
    bench.after(20.0)
    assert not is_lit(bench)


def test_a_lamp_of_what_is_commanded_and_of_a_gauge() -> None:
    condition = {"gear_command": "up", "hydraulic_gauge_psi": {"above": 1000}}
    bench = flying(condition, gear_handle=DOWN, hydraulic_pressure_psi=1500.0)
    bench.after(1.0)
    assert not is_lit(bench)
    bench.after(1.0, switches("up"))
    bench.after(1.0)
    assert bench.command == "up"
    assert is_lit(bench)
    bench.after(1.0, switches("down"))
    assert not is_lit(bench)


def test_a_lamp_of_no_command_while_gear_and_handle_have_not_agreed() -> None:
    bench = Bench(with_lamps(own_amber={"gear_command": "none"}))
    bench.at(0.0, switches("down"), air(gear_handle=UP))
    bench.at(1.0)
    assert bench.command == "nothing"
    assert is_lit(bench)
    bench.after(1.0, switches("up"))
    bench.after(1.0)
    assert bench.command == "up"
    assert not is_lit(bench)


def test_a_signal_that_is_not_there_is_refused() -> None:
    with pytest.raises(LogicError, match="there is no signal 'cabin_door'"):
        Bench(with_lamps(own_amber={"cabin_door": "open"}))


@pytest.mark.parametrize(
    ("condition", "changing"),
    [
        ({"flap_deg": {"above": 10}}, False),
        ({"gear": "locked_down"}, False),
        ({"nose_leg": "extending"}, False),
        ({"nose_travel": {"above": 0.5}}, True),
        ({"not": {"nose_travel": {"above": 0.5}}}, True),
        ({"any": [{"gear": "locked_down"}, {"left_travel": {"below": 0.5}}]}, True),
    ],
)
def test_it_knows_whether_time_alone_can_change_it(
    condition: dict[str, Any], changing: bool
) -> None:
    assert own(condition).reads_changing is changing


def test_only_a_number_that_comes_past_a_limit_has_to_be_looked_at() -> None:
    lamps = own({"any": [CONDITION, {"airspeed_kias": {"at_least": 100}}]})
    state = AircraftState(flap_deg=0.0, airspeed_kias=50.0)
    assert lamps.take_aircraft(state)
    assert not lamps.take_aircraft(changed(state, flap_deg=10.0, airspeed_kias=99.9))
    assert not lamps.take_aircraft(changed(state, altitude_ft=5000.0))
    assert lamps.take_aircraft(changed(state, flap_deg=10.1))
    assert lamps.take_aircraft(changed(state, flap_deg=10.1, airspeed_kias=100.0))
    assert not lamps.take_aircraft(changed(state, flap_deg=40.0, airspeed_kias=300.0))
    assert lamps.take_aircraft(changed(state, flap_deg=40.0, airspeed_kias=None))
    assert lamps.take_aircraft(changed(state, flap_deg=9.0, airspeed_kias=None))


@given(
    st.sampled_from(["is", "above", "below", "at_least", "at_most"]),
    st.lists(
        st.one_of(st.none(), st.sampled_from([9.0, 10.0, 10.0 - 2e-9, 10.0 + 2e-9, 11.0])),
        min_size=2,
        max_size=8,
    ),
)
def test_law_no_change_of_a_lamp_goes_unseen(comparison: str, flaps: list[float | None]) -> None:
    bench = flying({"flap_deg": {comparison: 10}}, flap_deg=None)
    lamps, before = own({"flap_deg": {comparison: 10}}), False
    for flap_deg in flaps:
        state = changed(bench.aircraft, flap_deg=flap_deg)
        look = lamps.take_aircraft(state)
        bench.after(0.02, aircraft=state)
        if is_lit(bench) is not before:
            assert look
        before = is_lit(bench)


def test_reasons_name_each_comparison_once_with_what_it_is() -> None:
    condition = {
        "any": [
            {"flap_deg": {"above": 10}, "gear": "locked_down"},
            {"flap_deg": {"above": 10}, "airspeed_kias": {"at_most": 120.5}},
            {"on_ground": True},
            {"strut_nose": "unknown"},
        ]
    }
    bench = flying(condition, flap_deg=20.0, airspeed_kias=None)
    assert is_lit(bench)
    asked = {"flap_deg", "gear", "airspeed_kias", "on_ground", "strut_nose"}
    reasons = bench.logic.reasons("own_amber")
    assert Reason("rule: label of own_amber", True, "lights it, by the aircraft file") in reasons
    told = [one for one in reasons if one.condition.partition(" ")[0] in asked]
    assert told == [
        Reason("flap_deg above 10", True, "it is 20"),
        Reason("gear is locked_down", True, "it is locked_down"),
        Reason("airspeed_kias at most 120.5", False, "it is unknown"),
        Reason("on_ground is true", False, "it is false"),
        Reason("strut_nose is unknown", False, "it is extended"),
    ]


def test_a_lamp_that_is_none_of_its_own_has_no_decision_here() -> None:
    lamps = own(CONDITION)
    assert lamps.decisions("nose_green", cast("Shown", None)) == ()
    assert lamps.lit() == {"own_amber": False}
    assert OwnLamps({}, {}, {}).lit() == {}
    assert not OwnLamps({}, {}, {}).reads_changing
