"""Lamps of a builder's own: when they are lit, when they have to be looked at, what they tell."""

from __future__ import annotations

from math import inf
from types import SimpleNamespace
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_base import AircraftBase, AuthorityParameters
from panelbridge.logic.aircraft_values import cells_of, values_of
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, FLAP_DEG, throttle
from panelbridge.logic.kit.conditions import Comparison, compares, condition_from
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import Facts
from panelbridge.logic.lamps.facts import DIMMER, LAMP_TEST
from panelbridge.logic.lamps.parameters import LampParameters
from panelbridge.logic.lamps.system import Lamps
from panelbridge.logic.own.judged import Judged
from panelbridge.logic.own.lamps import OwnLamps
from panelbridge.logic.own.parameters import OwnLampParameters
from panelbridge.logic.vocabulary import readable_signals_of, signals_of
from panelbridge.signals import Reason
from tests.logic.build import DOWN, UP, Bench, air, changed, switches, twin
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Input, Stage

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


class GearOfTest(Facts, frozen=True):
    """What a system of this test publishes: a word, and a number that changes by itself."""

    word: str | None = None
    travel: Line | None = None


def _travel(world: Any) -> float | None:
    line = world[GearOfTest].travel
    return None if line is None else line.at(world.now_s)


class Part(System[GearOfTest]):
    """A system before the lamps; it is never run."""

    values = (
        Signal(
            *("gear", "word", "gear", lambda world: world[GearOfTest].word),
            words=("locked_down", "locked_up"),
        ),
        Signal(
            *("nose_travel", "number", "travel", _travel),
            curve=lambda world: world[GearOfTest].travel,
            group="leg",
        ),
        Signal("horn_state", "yes_no", "horn", lambda world: True, group="horn"),
    )


AIRCRAFT = cast(
    "AircraftBase",
    SimpleNamespace(
        engines=2,
        leg_names=("nose", "left", "right"),
        strut_names=("nose", "left", "right"),
        gear_warning=SimpleNamespace(power_by="lever"),
        brakes=None,
        antiskid=None,
        steering=SimpleNamespace(steering_leg=None),
        hydraulics=None,
        gear_power=SimpleNamespace(nominal_v=None),
        authority=AuthorityParameters(),
    ),
)
PARTS = (Part(), Lamps(LampParameters(), frozenset()))
NAMES: dict[str, Input] = {
    "flap_deg": FLAP_DEG,
    "kias": AIRSPEED_KIAS,
    "lamp_test": LAMP_TEST,
    "dimmer": DIMMER,
    "word": (GearOfTest, "word"),
    "travel": (GearOfTest, "travel"),
}


def own(condition: dict[str, Any], **first: Any) -> Stage[OwnLamps]:
    """The lamps by themselves, with one under this condition: own_amber."""
    lamp = OwnLampParameters(label="label of own_amber", lit_when=condition)
    every = signals_of(values_of(AIRCRAFT), PARTS)
    return Stage(
        OwnLamps({"own_amber": lamp}, Judged([condition_from(lamp.lit_when)], every)),
        NAMES,
        **first,
    )


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


def test_a_lamp_of_one_number_against_another() -> None:
    """By hand: 140 kt over the ground in 150 kt of air is a headwind; unknown lights nothing."""
    bench = flying({"airspeed_kias": {"above": "ground_speed_kt"}}, airspeed_kias=150.0)
    found = []
    for speed in (140.0, 150.0, 160.0, None):
        bench.after(1.0, aircraft=air(airspeed_kias=150.0, ground_speed_kt=speed))
        found.append(is_lit(bench))
    assert found == [True, False, False, False]
    (reason,) = [one for one in bench.logic.reasons("own_amber") if "airspeed" in one.condition]
    assert reason.condition == "airspeed_kias above ground_speed_kt"
    assert reason.detail == "it is 150, and that unknown"


def test_a_lamp_of_two_numbers_that_change_by_themselves_turns_in_time() -> None:
    """It is looked at until they have met, and not any more once both stand."""
    bench = flying({"nose_travel": {"above": "left_travel"}})
    bench.after(1.0, switches("up"))
    bench.after(30.0)
    assert not is_lit(bench)
    bench.after(1.0, switches("down"))
    seen = []
    for _ in range(120):
        bench.after(0.1)
        leg = {one.name: one.travel_fraction or 0.0 for one in bench.logic.view().legs}
        seen.append((is_lit(bench), leg["nose"] > leg["left"] + 1e-9))
    assert [lit for lit, _ in seen] == [ahead for _, ahead in seen]
    assert True in [lit for lit, _ in seen]


def test_a_signal_that_is_not_there_is_refused() -> None:
    with pytest.raises(LogicError, match="no signal is named 'cabin_door'"):
        own({"cabin_door": "open"})


@pytest.mark.parametrize(
    ("condition", "due_s"),
    [
        ({"flap_deg": {"above": 10}}, inf),
        ({"gear": "locked_down"}, inf),
        ({"nose_travel": {"above": 0.5}}, 5.0),
        ({"not": {"nose_travel": {"above": 0.5}}}, 5.0),
        ({"any": [{"gear": "locked_down"}, {"nose_travel": {"below": 0.25}}]}, 2.5),
        ({"nose_travel": {"above": 1.5}}, inf),
        ({"nose_travel": "unknown"}, inf),
    ],
)
def test_it_knows_when_time_alone_changes_it(condition: dict[str, Any], due_s: float) -> None:
    stage = own(condition, travel=Line(0.0, 0.0, 0.1, 0.0, 1.0))
    stage.at(0.0)
    assert stage.loop.next_due_s == pytest.approx(due_s, abs=1e-6)


@pytest.mark.parametrize(
    ("comparison", "begins_s", "ends_s"),
    [
        ("above", 3.0, inf),
        ("at_least", 3.0, inf),
        ("below", 0.0, 3.0),
        ("at_most", 0.0, 3.0),
    ],
)
def test_a_lamp_over_a_number_that_changes_by_itself_turns_in_time(
    comparison: str, begins_s: float, ends_s: float
) -> None:
    """0 at 0 s, 0.1 a second more, up to 1: on 0.3 after 3 s, by nobody's step but its own."""
    stage = own({"nose_travel": {comparison: 0.3}}, travel=Line(0.0, 0.0, 0.1, 0.0, 1.0))
    stage.at(0.0)
    lit, turns = stage.lit, []
    assert bool(lit) is (begins_s == 0.0)
    while (due_s := stage.loop.next_due_s) < inf:
        stage.at(due_s)
        if stage.lit != lit:
            turns.append(due_s)
        lit = stage.lit
    wanted = [one for one in (begins_s, ends_s) if 0.0 < one < inf]
    assert turns == [pytest.approx(one, abs=1e-7) for one in wanted]
    assert bool(lit) is (ends_s == inf)


def test_three_numbers_of_one_curve_by_hand() -> None:
    """From 1 down by 0.25 a second: below 0.75 after 1 s, 0.5 after 2 s, 0.125 after 3.5 s."""
    group = {"any": [{"nose_travel": {"below": 0.125}}, {"nose_travel": {"above": 0.75}}]}
    between = {"not": {"nose_travel": {"is": 0.5}}}
    stage = own({"all": [group, between]}, travel=Line(0.0, 1.0, -0.25, 0.0, 1.0))
    stage.at(0.0)
    seen = [(0.0, bool(stage.lit))]
    dues = []
    while (due_s := stage.loop.next_due_s) < inf:
        stage.at(due_s)
        dues.append(round(due_s, 6))
        if bool(stage.lit) is not seen[-1][1]:
            seen.append((round(due_s, 6), bool(stage.lit)))
    assert seen == [(0.0, True), (1.0, False), (3.5, True)]
    assert dues == [1.0, 2.0, 2.0, 3.5], "on 0.5 and off it"


@given(
    comparison=st.sampled_from(list(Comparison)),
    limit=st.integers(0, 10).map(lambda tenths: tenths / 10),
    rate=st.sampled_from([-0.1, 0.05, 0.1, 0.25, 1.0]),
    looks=st.lists(st.integers(0, 240).map(lambda tenths: tenths / 10), max_size=8),
)
def test_law_a_lamp_over_a_curve_is_right_whenever_it_is_looked_at(
    comparison: Comparison, limit: float, rate: float, looks: list[float]
) -> None:
    """Also by who looks at the very crossing; the truth is asked of the number itself."""
    line = Line(0.0, 0.0 if rate > 0.0 else 1.0, rate, 0.0, 1.0)
    stage = own({"nose_travel": {comparison.value: limit}}, travel=line)
    test = compares(comparison, limit)
    for now_s in (0.0, *sorted(looks), 30.0):
        stage.at(now_s)
        assert bool(stage.lit) is test(line.at(now_s))


def test_only_a_number_that_passes_a_limit_wakes_it() -> None:
    condition = {"any": [CONDITION, {"airspeed_kias": {"at_least": 100}}]}
    stage = own(condition, flap_deg=0.0, kias=50.0)
    stage.at(0.0)
    loop = stage.loop
    assert not loop.set(FLAP_DEG, 10.0)
    assert not loop.set(AIRSPEED_KIAS, 99.9)
    assert loop.set(FLAP_DEG, 10.1)
    stage.at(1.0)
    assert loop.set(FLAP_DEG, 10.0)
    stage.at(2.0)
    assert loop.set(AIRSPEED_KIAS, 100.0)
    stage.at(3.0)
    assert not loop.set(AIRSPEED_KIAS, 300.0)
    assert loop.set(AIRSPEED_KIAS, None)
    stage.at(4.0)
    assert not loop.set(FLAP_DEG, -5.0)
    assert loop.set(FLAP_DEG, 40.0)


def test_values_of_files_are_the_cells_that_are_set_and_that_systems_read() -> None:
    cells = {cell for field in cells_of(AIRCRAFT).values() for cell in field}
    values = values_of(AIRCRAFT)
    assert {value.cell for value in values.values()} <= cells
    assert {FLAP_DEG, AIRSPEED_KIAS, throttle(1)} <= cells
    assert values["flap_deg"].cell is FLAP_DEG


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("own_amber", None),
        ("flaps_moving", "flaps_moving_amber"),
        ("Flaps 1", "flaps_amber"),
        ("_", "lamp_amber"),
    ],
)
def test_the_name_of_a_lamp_ends_in_its_colour(name: str, hint: str | None) -> None:
    found = list(OwnLamps.misfits(SimpleNamespace(own_lamps={name: None})))
    assert [(one.path, one.hint.rsplit(": ", 1)[1], one.is_key) for one in found] == (
        [] if hint is None else [(("own_lamps", name), hint, True)]
    )


def test_a_number_that_is_asked_to_be_unknown_wakes_it_then_alone() -> None:
    stage = own({"flap_deg": "unknown"}, flap_deg=5.0, dimmer=0.5)
    stage.at(0.0)
    assert not any(stage.loop.set(FLAP_DEG, float(number)) for number in range(-20, 90))
    assert not stage.loop.set(DIMMER, 0.1)
    stage.at(1.0, flap_deg=None)
    assert stage.lit == {"own_amber"}


@given(
    st.sampled_from(list(Comparison)),
    st.lists(
        st.one_of(st.none(), st.sampled_from([9.0, 10.0, 10.0 - 2e-9, 10.0 + 2e-9, 11.0])),
        min_size=2,
        max_size=8,
    ),
    st.sampled_from([("flap_deg", 10.0), ("dimmer", 10.0)]),
)
def test_law_no_change_of_a_lamp_goes_unseen(
    comparison: Comparison, numbers: list[float | None], read: tuple[str, float]
) -> None:
    """What wakes it only at a limit is what the comparison itself says, number by number."""
    name, limit = read
    stage, test = own({name: {comparison.value: limit}}), compares(comparison, limit)
    for number in numbers:
        stage.after(0.02, **{name: number})
        assert bool(stage.lit) is (number is not None and test(number))


@given(
    moves=st.lists(
        st.tuples(
            st.sampled_from([0.0, 0.5, 1.0, 2.5]),
            st.one_of(
                st.fixed_dictionaries({"flap_deg": st.sampled_from([None, 9.0, 10.0, 11.0])}),
                st.fixed_dictionaries({"lamp_test": st.sampled_from([None, False, True])}),
                st.fixed_dictionaries({"word": st.sampled_from([None, "locked_up"])}),
            ),
        ),
        max_size=15,
    ),
    fine=st.integers(2, 4),
    after=st.integers(0, 15),
)
def test_law_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[Move], fine: int, after: int
) -> None:
    def make() -> Stage[OwnLamps]:
        parts = [{"nose_travel": {"above": 0.25}}, CONDITION, {"lamp_test": "pressed"}]
        stage = own({"any": parts, "gear": ["unknown", "locked_up"]}, flap_deg=0.0)
        stage.at(0.0, travel=Line(0.0, 0.0, 0.1, 0.0, 1.0))
        return stage

    extra_looks_change_nothing(make, moves, fine)
    restored_goes_on_the_same(make, moves, after)


def test_only_signals_that_are_named_are_made_and_none_of_lamps() -> None:
    names = {"flap_deg", "gear", "lamp_test", "nose_green", "horn", "horn_state", "throttle_2"}
    made, every = (
        readable_signals_of(names, AIRCRAFT, PARTS[:1]),
        signals_of(values_of(AIRCRAFT), PARTS),
    )
    assert set(made) == {"flap_deg", "gear", "lamp_test", "throttle_2"}
    for name, signal in made.items():
        assert signal == every[name]


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
    reported = [one for one in reasons if one.condition.partition(" ")[0] in asked]
    assert reported == [
        Reason("flap_deg above 10", True, "it is 20"),
        Reason("gear is locked_down", True, "it is locked down"),
        Reason("airspeed_kias at most 120.5", False, "it is unknown"),
        Reason("on_ground is true", False, "it is false"),
        Reason("strut_nose is unknown", False, "it is extended"),
    ]


def test_a_lamp_that_is_none_of_its_own_has_no_decision_here() -> None:
    stage = own(CONDITION)
    assert stage.system.decisions("nose_green", stage.loop.world(0.0)) == []
    assert stage.lit == set()
    assert OwnLamps({}, Judged([], {})).facts.lamps == ()
