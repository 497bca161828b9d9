"""Nose-wheel steering: schedule, pedals, angle, two buttons, what keeps it from working."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.aircraft_cells import (
    AIRSPEED_KIAS,
    BUS_POWERED,
    GROUND_SPEED_KT,
    STEERING_PEDAL,
)
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.steering.parameters import SteeringParameters
from panelbridge.logic.steering.shaping import PedalShaping
from panelbridge.logic.steering.system import (
    SECOND_BUTTON,
    STEERING_BUTTON,
    STEP_DEG,
    TILLER,
    Steering,
)
from panelbridge.signals import LegLocks, Level
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Input, Stage

POINTS = [
    {"speed_kt": 10.0, "angle_deg": 50.0},
    {"speed_kt": 30.0, "angle_deg": 20.0},
    {"speed_kt": 80.0, "angle_deg": 6.0},
]
NAMES: dict[str, Input] = {
    "button": STEERING_BUTTON,
    "second_button": SECOND_BUTTON,
    "tiller": TILLER,
    "pedals": STEERING_PEDAL,
    "ground_kt": GROUND_SPEED_KT,
    "air_kt": AIRSPEED_KIAS,
    "bus_powered": BUS_POWERED,
    "compressed": (AirGroundFacts, "struts", 0),
    "leg_down": (GearFacts, "legs", 0),
    "available": (EmergencyFacts, "extended"),
    "has_pressure": (HydraulicsFacts, "served"),
}
MEANS: dict[str, Any] = {
    "leg_down": {True: LegFacts(locks=LegLocks(False, True)), False: LegFacts()},
    "available": {True: False, False: True},
    "has_pressure": {True: ("gear",), False: ()},
}


class Nose(Stage[Steering]):
    """A steering by itself; what other systems publish is set by yes and no."""

    def _set(self, changes: Mapping[str, Any]) -> None:
        self.inputs = {**getattr(self, "inputs", {}), **changes}
        plain = {name: MEANS[name][one] if name in MEANS else one for name, one in changes.items()}
        super()._set(plain)

    def now(self, **changes: Any) -> SteeringFacts:
        """What it publishes after a change at the time of the last step."""
        self.at(self.now_s, **changes)
        facts: SteeringFacts = self.facts
        return facts


def stage(shaping: PedalShaping | None = None, **numbers: Any) -> Nose:
    """Standing on a leg that is locked down, no button held, slow, pedals fully right."""
    parameters = SteeringParameters.model_validate({"schedule": POINTS, **numbers})
    shaping = shaping or PedalShaping(dead_zone_fraction=0.0)
    made = Nose(
        Steering(parameters, 0, shaping, can_be_lost=True),
        NAMES,
        button=False,
        second_button=False,
        compressed=True,
        leg_down=True,
        available=True,
        has_pressure=True,
        bus_powered=True,
        ground_kt=5.0,
        pedals=1.0,
    )
    made.at(0.0)
    return made


def limit_deg(points: list[dict[str, float]], speed_kt: float | None) -> float:
    return SteeringParameters.model_validate({"schedule": points}).limit_deg(speed_kt)


def schedule(*points: tuple[float, float]) -> SteeringParameters:
    plain = [{"speed_kt": speed_kt, "angle_deg": angle_deg} for speed_kt, angle_deg in points]
    return SteeringParameters.model_validate({"schedule": plain})


# -- the schedule ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("speed_kt", "angle_deg"),
    [
        (-5.0, 50.0),
        (0.0, 50.0),
        (10.0, 50.0),
        (20.0, 35.0),
        (30.0, 20.0),
        (55.0, 13.0),
        (80.0, 6.0),
        (300.0, 6.0),
        (None, 6.0),
    ],
)
def test_straight_lines_between_points_and_the_ends_beyond(
    speed_kt: float | None, angle_deg: float
) -> None:
    assert limit_deg(POINTS, speed_kt) == pytest.approx(angle_deg)


def test_one_point_is_one_angle_for_every_speed() -> None:
    points = [{"speed_kt": 20.0, "angle_deg": 12.0}]
    assert {limit_deg(points, speed_kt) for speed_kt in (0.0, 20.0, 90.0, None)} == {12.0}


def test_a_schedule_whose_angle_grows_is_refused() -> None:
    with pytest.raises(
        ValidationError,
        match="the angle must not grow with the speed, and it is 20 degrees at 10 kt and 21",
    ):
        schedule((10.0, 20.0), (40.0, 21.0))
    assert schedule((10.0, 20.0), (40.0, 20.0)), "it may stay"


@pytest.mark.parametrize("speed_kt", [10.0, 9.0])
def test_a_schedule_whose_speeds_do_not_grow_is_refused(speed_kt: float) -> None:
    with pytest.raises(ValidationError, match=f"and {speed_kt:g} kt comes after 10 kt"):
        schedule((5.0, 30.0), (10.0, 20.0), (speed_kt, 10.0))


@pytest.mark.parametrize(
    "points", [[], [{"speed_kt": -1.0, "angle_deg": 5.0}], [{"speed_kt": 1.0, "angle_deg": 91.0}]]
)
def test_schedules_that_cannot_be(points: list[dict[str, float]]) -> None:
    with pytest.raises(ValidationError):
        SteeringParameters.model_validate({"schedule": points})


def test_check_values_of_the_trade() -> None:
    """Up to 45 degrees at about 8 knots, falling progressively to 8 degrees at higher speed.

    Common practice, no source.
    """
    nose = stage()
    usual = schedule((8.0, 45.0), (100.0, 8.0))
    angles = [usual.limit_deg(float(speed_kt)) for speed_kt in range(8, 101)]
    assert (angles[0], angles[-1]) == (45.0, 8.0)
    assert all(one > after for one, after in pairwise(angles))
    assert usual.limit_deg(0.0) == 45.0
    assert usual.limit_deg(200.0) == 8.0
    nose.after(1.0, button=True)
    assert nose.facts.is_engaged


def words(nose: Nose) -> Words:
    return nose.system.words(nose.loop.world(nose.now_s))


# -- pedals ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shaping", "fraction", "shaped"),
    [
        ({}, 1.0, 1.0),
        ({}, -1.0, -1.0),
        ({}, 1.5, 1.0),
        ({"dead_zone_fraction": 0.2}, 0.2, 0.0),
        ({"dead_zone_fraction": 0.2}, -0.2, 0.0),
        ({"dead_zone_fraction": 0.2}, 0.6, 0.5),
        ({"dead_zone_fraction": 0.2}, -1.0, -1.0),
        ({"dead_zone_fraction": 0.0, "curve_exponent": 2.0}, -0.5, -0.25),
        ({"dead_zone_fraction": 0.0, "scale": 0.5}, 1.0, 0.5),
        ({"dead_zone_fraction": 0.0, "scale": 0.5}, -0.5, -0.25),
    ],
)
def test_dead_zone_curve_and_scale(
    shaping: dict[str, float], fraction: float, shaped: float
) -> None:
    assert PedalShaping(**shaping).shape(fraction) == pytest.approx(shaped)


def engaged(**more: Any) -> Nose:
    nose = stage(**more)
    nose.after(1.0, button=True)
    return nose


def test_the_angle_is_the_pedal_s_share_of_the_limit_in_steps() -> None:
    nose = engaged()
    assert nose.facts.steering_deg == 50.0
    pedals = (-1.0, -0.5, -0.101, -0.005, 0.0, 0.25, 0.599)
    assert {pedal: nose.now(pedals=pedal).steering_deg for pedal in pedals} == {
        -1.0: -50.0,
        -0.5: -25.0,
        -0.101: -5.0,
        -0.005: 0.0,
        0.0: 0.0,
        0.25: 12.5,
        0.599: 29.5,
    }


def test_before_anything_was_looked_at_it_is_centred() -> None:
    nose = Stage(Steering(SteeringParameters(), 0, PedalShaping(), can_be_lost=True), NAMES)
    values = {one.name: one.read(nose.loop.world(0.0)) for one in nose.system.values}
    assert values == {"steering": "released", "steering_deg": 0.0, "steering_limit_deg": 5.0}
    words = nose.system.words(nose.loop.world(0.0))
    held = {field: reason.holds for field, (reason,) in words.items()}
    assert held == dict.fromkeys(held, False) | dict.fromkeys(
        ("available", "powered", "wheel_free"), True
    )
    assert nose.lit == set()
    assert not nose.facts.is_engaged


def test_centred_is_centred_without_a_side() -> None:
    assert str(engaged().now(pedals=-0.005).steering_deg) == "0.0"


def test_the_reasons_say_whether_a_press_would_count() -> None:
    nose = stage()
    reported = []
    for button in (False, None, True, False):
        nose.after(1.0, button=button, second_button=None)
        reported.append(words(nose)["rising_edge"][0].holds)
    assert reported == [True, False, False, True]


def test_facts_change_only_with_the_angle_in_steps() -> None:
    nose = engaged()

    def changes(**inputs: float | None) -> bool:
        before = nose.facts
        return nose.now(**inputs) is not before

    pedals = (0.5, 0.501, 0.509, 0.51, 0.51, None)
    assert [changes(pedals=one) for one in pedals] == [True, False, False, True, False, True]
    nose.now(pedals=0.5)
    speeds = (5.0, 10.0, 10.01, 10.02, 20.0)
    assert [changes(ground_kt=one) for one in speeds] == [False, False, True, False, True]
    assert nose.loop.set(STEERING_PEDAL, 0.6)
    nose.after(1.0, button=False)
    assert not nose.loop.set(STEERING_PEDAL, -1.0), "pedals are read only while it is engaged"
    assert not nose.loop.set(GROUND_SPEED_KT, 100.0)


@pytest.mark.parametrize(
    ("pedals", "tiller", "angle_deg"),
    [
        (0.5, None, 25.0),
        (0.5, 0.0, -50.0),
        (None, 0.75, 25.0),
        (0.5, 0.5, 0.0),
        (None, None, 0.0),
        (float("nan"), None, 0.0),
        (0.5, float("nan"), 25.0),
    ],
)
def test_the_tiller_of_the_panel_counts_before_the_feed_s_pedals(
    pedals: float | None, tiller: float | None, angle_deg: float
) -> None:
    assert engaged().now(pedals=pedals, tiller=tiller).steering_deg == angle_deg


@pytest.mark.parametrize(
    ("ground_kt", "air_kt", "angle_deg"),
    [
        (20.0, 80.0, 35.0),
        (None, 20.0, 35.0),
        (float("nan"), 20.0, 35.0),
        (None, None, 6.0),
        (None, float("nan"), 6.0),
    ],
)
def test_speed_over_the_ground_or_else_of_the_air(
    ground_kt: float | None, air_kt: float | None, angle_deg: float
) -> None:
    nose = engaged()
    nose.now(ground_kt=ground_kt, air_kt=air_kt)
    assert nose.value("steering_limit_deg") == angle_deg
    assert nose.value("steering_deg") == angle_deg


def test_released_it_is_centred_at_once_whatever_the_pedals() -> None:
    nose = engaged()
    nose.after(1.0, button=False)
    assert nose.facts.steering_deg == 0.0
    nose.after(1.0, button=True)
    assert nose.facts.steering_deg == 50.0


# -- buttons --------------------------------------------------------------------------------------


def test_either_button_and_each_by_its_own_rule() -> None:
    nose = stage()
    nose.after(1.0, button=None, second_button=False)
    nose.after(1.0, button=True)
    assert not nose.lit, "found held"
    nose.after(1.0, second_button=True)
    assert nose.lit == {"steering_green"}
    nose.after(1.0, button=False)
    assert nose.lit == {"steering_green"}
    nose.after(1.0, button=True, second_button=None)
    assert nose.lit == {"steering_green"}, "the first one was released and pressed"
    nose.after(1.0, button=False)
    assert not nose.lit
    assert nose.names == ["steering_engaged", "steering_released"]


def test_a_second_button_that_is_not_there_harms_nothing() -> None:
    nose = stage()
    nose.after(1.0, second_button=None)
    nose.after(1.0, button=True)
    assert nose.lit == {"steering_green"}


# -- what keeps it from working -------------------------------------------------------------------


def test_after_an_emergency_extension_it_is_refused_until_pressed_again() -> None:
    nose = engaged()
    nose.after(1.0, available=False)
    assert nose.lit == {"steering_unavailable_amber"}
    assert nose.facts.steering_deg == 0.0
    nose.after(1.0, available=True)
    assert nose.lit == set(), "held through it: release first"
    nose.after(1.0, button=False)
    nose.after(1.0, button=True)
    assert nose.lit == {"steering_green"}
    assert nose.names == ["steering_engaged", "steering_released", "steering_engaged"]


def test_each_refusal_is_reported_once() -> None:
    nose = stage()
    nose.after(1.0, available=False)
    assert nose.lit == set(), "only when pressed"
    for _ in range(2):
        nose.after(1.0, second_button=True)
        nose.after(1.0)
        nose.after(1.0, second_button=False)
    assert nose.names == ["steering_refused"] * 2
    assert nose.events[0].level is Level.CAUTION


@pytest.mark.parametrize(
    ("numbers", "inputs", "works"),
    [
        ({}, {"has_pressure": False, "bus_powered": False}, True),
        ({"needs_hydraulics": True}, {"has_pressure": False}, False),
        ({"needs_hydraulics": True}, {"bus_powered": False}, True),
        ({"needs_bus": True}, {"bus_powered": False}, False),
        ({"needs_bus": True}, {"bus_powered": None}, True),
        ({"needs_bus": True}, {"has_pressure": False}, True),
    ],
)
def test_the_power_that_the_aircraft_file_says(
    numbers: dict[str, bool], inputs: dict[str, Any], works: bool
) -> None:
    nose = engaged(**numbers)
    assert nose.lit == {"steering_green"}
    nose.after(1.0, **inputs)
    assert nose.lit == ({"steering_green"} if works else {"steering_unavailable_amber"})
    nose.after(1.0, has_pressure=True, bus_powered=True)
    assert nose.lit == {"steering_green"}, "power that comes back needs no new press"


def test_the_reasons_say_what_it_needs() -> None:
    reported = words(stage(needs_hydraulics=True, needs_bus=True, steering_leg="tail"))
    assert reported["powered"][0].detail == "needs hydraulic pressure and electrical power"
    assert reported["has_weight"][0].condition == "weight on the tail strut"
    assert words(stage())["powered"][0].detail == "needs none"


class AircraftOfTest(AircraftBase):
    """An aircraft file with the groups that the steering reads."""

    steering: SteeringParameters = SteeringParameters()
    emergency: EmergencyParameters | None = None
    hydraulics: HydraulicsParameters | None = None


def aircraft(**groups: Any) -> AircraftOfTest:
    legs = [{"name": name} for name in ("nose", "left", "tail")]
    return AircraftOfTest.model_validate({"name": "test", "engines": 1, "legs": legs, **groups})


def test_which_aircraft_has_it_and_when_it_can_be_lost() -> None:
    def lamps(**groups: Any) -> list[str] | None:
        made = Steering.of(Build(aircraft(**groups), PanelNumbers()))
        return None if made is None else [lamp.name for lamp in made.lamps]

    plain, lost = ["steering_green"], ["steering_green", "steering_unavailable_amber"]
    assert lamps() == plain
    assert lamps(steering={"steering_leg": None}) is None
    assert lamps(steering={"needs_bus": True}) == lost
    assert lamps(steering={"needs_hydraulics": True}) == lost
    assert lamps(emergency={"means": "free_fall"}) == lost


def test_what_does_not_fit_it() -> None:
    def misfits(**steering: Any) -> list[tuple[tuple[str | int, ...], str]]:
        found = Steering.misfits(aircraft(steering=steering))
        return [(one.path, one.what) for one in found]

    assert misfits() == misfits(steering_leg="tail") == misfits(steering_leg=None) == []
    assert misfits(steering_leg="middle") == [
        (("steering", "steering_leg"), "no leg is named 'middle'")
    ]
    (found,) = misfits(needs_hydraulics=True)
    assert found[0] == ("steering", "needs_hydraulics")
    assert misfits(needs_hydraulics=True, steering_leg=None) == []


# -- laws -----------------------------------------------------------------------------------------

FRACTIONS = st.floats(-1.2, 1.2, allow_nan=False)
SPEEDS = st.floats(-10.0, 400.0, allow_nan=False)
SHAPINGS = st.builds(
    PedalShaping,
    dead_zone_fraction=st.floats(0.0, 0.5),
    curve_exponent=st.floats(0.2, 5.0),
    scale=st.floats(0.01, 1.0),
)


@st.composite
def schedules(draw: st.DrawFn) -> list[dict[str, float]]:
    speeds = sorted(draw(st.sets(st.integers(0, 400), min_size=1, max_size=6)))
    count = len(speeds)
    angles = sorted(draw(st.lists(st.floats(0.0, 90.0), min_size=count, max_size=count)))[::-1]
    return [
        {"speed_kt": float(speed), "angle_deg": angle}
        for speed, angle in zip(speeds, angles, strict=True)
    ]


@given(points=schedules(), speeds=st.lists(SPEEDS, min_size=2, max_size=8), pedal=FRACTIONS)
def test_the_authority_never_grows_with_the_speed(
    points: list[dict[str, float]], speeds: list[float], pedal: float
) -> None:
    nose = engaged(schedule=points)
    nose.now(pedals=pedal)
    limits, angles = [], []
    for speed_kt in sorted(speeds):
        angles.append(abs(nose.now(ground_kt=speed_kt).steering_deg))
        limits.append(nose.value("steering_limit_deg"))
    assert limits == sorted(limits, reverse=True)
    assert angles == sorted(angles, reverse=True)
    nose.now(ground_kt=None)
    assert nose.value("steering_limit_deg") <= min(limits), "unknown is the smallest"


@given(shaping=SHAPINGS, fractions=st.lists(FRACTIONS, min_size=2, max_size=8))
def test_pedals_are_odd_and_grow_and_stay_within_their_scale(
    shaping: PedalShaping, fractions: list[float]
) -> None:
    shaped = [shaping.shape(fraction) for fraction in sorted(fractions)]
    assert shaped == sorted(shaped)
    for fraction, one in zip(sorted(fractions), shaped, strict=True):
        assert shaping.shape(-fraction) == -one
        assert abs(one) <= shaping.scale


MAYBE = st.sampled_from([None, True, False])
CHANGES = st.one_of(
    *(
        st.fixed_dictionaries({name: MAYBE})
        for name in ("button", "second_button", "compressed", "bus_powered")
    ),
    *(
        st.fixed_dictionaries({name: st.booleans()})
        for name in ("leg_down", "available", "has_pressure")
    ),
)


@given(
    numbers=st.fixed_dictionaries({"needs_bus": st.booleans(), "needs_hydraulics": st.booleans()}),
    changes=st.lists(st.tuples(CHANGES, st.none() | FRACTIONS, st.none() | SPEEDS), max_size=25),
)
def test_only_engaged_it_turns_and_reasons_lead_to_lamps(
    numbers: dict[str, bool], changes: list[tuple[dict[str, Any], float | None, float | None]]
) -> None:
    nose = stage(None, **numbers)
    for inputs, pedal, speed_kt in changes:
        nose.after(0.1, pedals=pedal, ground_kt=speed_kt, **inputs)
        nose.hold()
        given_now = nose.inputs
        if nose.facts.is_engaged:
            assert given_now["button"] or given_now["second_button"]
            assert given_now["compressed"] is True
            assert given_now["leg_down"]
            assert given_now["available"]
            angle_deg = nose.facts.steering_deg
            assert abs(angle_deg) <= nose.value("steering_limit_deg")
            assert angle_deg / STEP_DEG == int(angle_deg / STEP_DEG)
        else:
            assert nose.facts.steering_deg == 0.0
            assert str(nose.facts.steering_deg) == "0.0", "no minus"
        assert ("steering_green" in nose.lit) is nose.facts.is_engaged


MOVES = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.02, 1.0]),
        st.one_of(
            CHANGES,
            st.fixed_dictionaries({"pedals": st.none() | FRACTIONS}),
            st.fixed_dictionaries({"tiller": st.none() | st.floats(0.0, 1.0)}),
            st.fixed_dictionaries({"ground_kt": st.none() | SPEEDS}),
        ),
    ),
    max_size=20,
)


@given(moves=MOVES, fine=st.integers(2, 4), after=st.integers(0, 20))
def test_law_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[Move], fine: int, after: int
) -> None:
    def make() -> Nose:
        return engaged(needs_bus=True, needs_hydraulics=True)

    extra_looks_change_nothing(make, moves, fine)
    restored_goes_on_the_same(make, moves, after)


def test_every_number_changes_something() -> None:
    """``steering_leg`` is read by the composition: see ``test_steering``."""

    def run(shaping: PedalShaping | None = None, **numbers: Any) -> list[Any]:
        nose = stage(shaping, **numbers)
        seen: list[Any] = []
        nose.after(1.0, button=True)
        for pedal in (0.1, 0.5, 1.0):
            seen.append(nose.now(pedals=pedal).steering_deg)
        seen.append(nose.now(has_pressure=False).is_engaged)
        seen.append(nose.now(has_pressure=True, bus_powered=False).is_engaged)
        nose.now(bus_powered=True, compressed=False)
        seen.append(nose.now(compressed=True).is_engaged)
        return seen

    changes: dict[str, Any] = {
        "schedule": POINTS[1:],
        "needs_hydraulics": True,
        "needs_bus": True,
        "new_press_on_ground": False,
    }
    assert set(changes) | {"steering_leg"} == set(SteeringParameters.model_fields)
    for name, value in changes.items():
        assert run(**{name: value}) != run(), name
    shapes = {"dead_zone_fraction": 0.2, "curve_exponent": 2.0, "scale": 0.5}
    assert set(shapes) == set(PedalShaping.model_fields)
    plain = PedalShaping(dead_zone_fraction=0.0)
    for name, value in shapes.items():
        assert run(plain.model_copy(update={name: value})) != run(plain), name
