"""Between which numbers the systems of a whole aircraft have nothing to do, to the last digit."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState
from tests.logic.test_systems import AT_REST, FLYING, STANDING, Rig, jet

WARNING = jet().gear_warning
FLAPS_DEG = WARNING.flap_limit_deg
CLOSED, TAKE_OFF = WARNING.throttle_approach_fraction, 0.85
REOPEN = CLOSED + WARNING.throttle_hysteresis_fraction
BRAKES = {**jet().model_dump()["brakes"], "takeoff_thrust_fraction": TAKE_OFF}
OPEN = (0.5, 0.5)
ONES = 1e-6
"""Little enough to be beside a limit and nowhere else."""


def rig_at(groups: dict[str, Any] | None = None, **values: Any) -> Rig:
    """The jet, flying with these values long enough for levers to settle."""
    rig = Rig(jet(brakes=BRAKES, own_lamps={}, lamps={}, **(groups or {})), FLYING)
    rig.fly(**{"throttle_fraction": OPEN, **values})
    rig.wait(5.0)
    return rig


def calm_at(rig: Rig, **changes: Any) -> bool:
    """Whether nobody has to look when these values change."""
    calm: Any = rig.systems.calm
    holds = getattr(calm, "holds", calm)
    return bool(holds(replace(rig.aircraft, **changes)))


@pytest.mark.parametrize(
    ("name", "value", "inside", "outside"),
    [
        ("airspeed_kias", 150.0, [1.0, 159.0], [None, 160.0 + WARNING.quiet_hysteresis_kias]),
        ("airspeed_kias", 170.0, [163.0, 173.0], [159.9, 230.1]),
        ("airspeed_kias", 200.0, [190.1, 228.0], [159.9, 230.1]),
        ("airspeed_kias", 240.0, [], [240.0, 241.0]),  # the highest is watched
        ("airspeed_kias", None, [None], [100.0]),
        ("altitude_ft", 500.0, [-500.0, 9999.0], [12_000.1, None]),
        ("altitude_ft", 11_000.0, [10_000.0, 12_000.0], [12_000.1, None]),
        ("altitude_ft", 13_000.0, [40_000.0, 12_001.0], [9999.9, None]),
        ("flap_deg", 0.0, [FLAPS_DEG, -1.0], [FLAPS_DEG + ONES, None]),
        ("flap_deg", FLAPS_DEG + 5, [FLAPS_DEG + ONES, 90.0], [FLAPS_DEG]),
        ("throttle_fraction", OPEN, [(CLOSED + ONES, TAKE_OFF)], [(CLOSED, 0.5), (0.5, CLOSED)]),
        ("throttle_fraction", OPEN, [], [(0.5, TAKE_OFF + ONES), (TAKE_OFF + ONES, 0.5)]),
        ("throttle_fraction", (0.0, 0.5), [(REOPEN, 0.5)], [(REOPEN + ONES, 0.5), (0.0, None)]),
        ("throttle_fraction", (0.9, 0.9), [(1.0, TAKE_OFF)], [(0.9, TAKE_OFF - 0.1), OPEN]),
        ("hydraulic_pressure_psi", 3000.0, [0.0, 2000.0, 9000.0], []),
        ("ground_speed_kt", 100.0, [0.0, 200.0], []),
    ],
)
def test_the_band_of_a_number_ends_at_its_next_limit(
    name: str, value: Any, inside: list[Any], outside: list[Any]
) -> None:
    rig = rig_at(**{name: value})
    assert [calm_at(rig, **{name: other}) for other in inside] == [True] * len(inside)
    assert [calm_at(rig, **{name: other}) for other in outside] == [False] * len(outside)


def test_levers_of_an_aircraft_that_re_arms_high_have_a_second_limit() -> None:
    warning = {**jet().model_dump()["gear_warning"], "rearm": "all_levers_advanced"}
    rig = rig_at({"gear_warning": warning})
    high = WARNING.rearm_fraction
    assert high > CLOSED
    assert calm_at(rig, throttle_fraction=(0.5, CLOSED + ONES)) is (high >= 0.5)
    assert not calm_at(rig, throttle_fraction=(0.5, CLOSED))
    assert not calm_at(rig, throttle_fraction=(high - ONES, high + ONES))


def test_a_told_pressure_is_calm_between_its_limits_only() -> None:
    rig = rig_at({"authority": {"hydraulics": "feed"}}, hydraulic_pressure_psi=2500.0)
    assert calm_at(rig, hydraulic_pressure_psi=2500.0)
    assert not calm_at(rig, hydraulic_pressure_psi=100.0)
    assert not calm_at(rig, hydraulic_pressure_psi=None)


def test_without_hydraulics_the_gauge_has_steps() -> None:
    groups: dict[str, Any] = {
        **dict.fromkeys(("hydraulics", "brakes", "antiskid")),
        "gear_power": {"power": "electric_pack"},
        "steering": {"steering_leg": "nose"},
        "own_lamps": {},
        "lamps": {},
    }
    rig = Rig(jet(**groups), FLYING)
    rig.fly(hydraulic_pressure_psi=1000.0)
    steps = [psi for psi in range(900, 1100) if calm_at(rig, hydraulic_pressure_psi=float(psi))]
    assert 1000 in steps
    assert (min(steps), max(steps)) == (996, 1004)


def test_the_speed_matters_to_the_steering_while_it_is_engaged() -> None:
    rig = Rig(jet(own_lamps={}, lamps={}), replace(STANDING, ground_speed_kt=10.0))
    assert calm_at(rig, ground_speed_kt=11.0)
    rig.switch(steering_button=True)
    assert rig.systems.steering is not None
    assert rig.systems.steering.is_engaged
    assert not calm_at(rig, ground_speed_kt=10.0)
    # Without a speed over the ground the airspeed counts for it.
    rig.fly(ground_speed_kt=None)
    assert not calm_at(rig, airspeed_kias=1.0)
    rig.switch(steering_button=False)
    assert calm_at(rig, airspeed_kias=1.0)


@pytest.mark.parametrize(
    ("name", "value", "groups"),
    [
        ("brake_pedal_fraction", (1.0, 1.0), {}),
        ("brake_pedal_fraction", (1.0, 1.0), {"cold_weather": None}),
        ("brake_pedal_fraction", (1.0, 1.0), {"brakes": None, "antiskid": None}),
        ("steering_pedal_fraction", 1.0, {}),
        ("engine_running", (True, False), {}),
        ("wheel_speed_rpm", (900.0, 0.0, 0.0, 0.0), {}),
        ("strut_compressed", (True, False, False), {}),
        ("gear_handle", None, {}),
        ("bus_powered", False, {}),
    ],
)
def test_what_is_no_number_of_a_band_is_never_calm(
    name: str, value: Any, groups: dict[str, Any]
) -> None:
    rig = Rig(jet(own_lamps={}, lamps={}, **groups), FLYING)
    assert calm_at(rig)
    assert not calm_at(rig, **{name: value})


def near(*limits: float) -> st.SearchStrategy[float | None]:
    """Numbers at limits and beside them; None is unknown."""
    beside = [limit + way for limit in limits for way in (-0.001, 0.0, 0.001)]
    return st.sampled_from([None, 0.0, *beside, 1e4])


VALUES = st.fixed_dictionaries(
    {},
    optional={
        "airspeed_kias": near(160.0, 165.0, 175.0, 190.0, 230.0),
        "altitude_ft": near(10_000.0, 12_000.0),
        "flap_deg": near(FLAPS_DEG),
        "throttle_fraction": st.tuples(*[near(CLOSED, REOPEN, WARNING.rearm_fraction, 0.8)] * 2),
        "hydraulic_pressure_psi": near(1000.0, 1500.0, 2000.0, 2500.0),
        "ground_speed_kt": near(8.0, 35.0, 80.0),
        "strut_compressed": st.sampled_from([(True,) * 3, (False,) * 3, (True, False, True)]),
        "brake_pressure_psi": st.tuples(near(100.0), near(100.0)),
        "bus_powered": st.booleans(),
    },
)
SWITCHES = st.fixed_dictionaries(
    {},
    optional={
        "steering_button": st.booleans(),
        "horn_silence": st.booleans(),
        "parking_brake_fraction": st.sampled_from([0.0, 1.0]),
    },
)
GROUPS: list[dict[str, Any]] = [
    {},
    {"authority": {"hydraulics": "feed", "brakes": "feed"}},
    {"gear_warning": {**jet().model_dump()["gear_warning"], "rearm": "all_levers_advanced"}},
]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(GROUPS), st.lists(st.tuples(VALUES, SWITCHES), min_size=1, max_size=12))
def test_law_a_step_that_nobody_looks_at_changes_nothing(
    groups: dict[str, Any], course: list[tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    aircraft = jet(**groups)
    quick, thorough = PanelLogic(aircraft), PanelLogic(aircraft)
    state: AircraftState = FLYING
    panel = AT_REST
    for number, (values, changes) in enumerate(course):
        state, panel = replace(state, **values), replace(panel, **changes)
        thorough._systems.calm = None
        now_s = number * 0.3
        assert quick.step(now_s, panel, state) == thorough.step(now_s, panel, state)
        assert quick.view() == thorough.view()
