"""All systems together: order, time, and what does not change."""

from __future__ import annotations

from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.errors import LogicError
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import (
    AircraftState,
    HandleContacts,
    LegLocks,
    LegState,
    SwitchState,
)
from tests.examples import examples
from tests.logic.build import (
    CLOSED,
    DOWN,
    FREE,
    LOCKED_DOWN,
    OPEN,
    UP,
    Bench,
    Moment,
    air,
    changed,
    fed_twin,
    flying_gear_down,
    flying_gear_up,
    ground,
    on_ground,
    switches,
    twin,
)


def test_time_that_runs_backwards_is_an_error() -> None:
    logic = PanelLogic(twin())
    logic.step(5.0, SwitchState(), AircraftState())
    logic.step(5.0, SwitchState(), AircraftState())
    with pytest.raises(LogicError, match="backwards"):
        logic.step(4.999, SwitchState(), AircraftState())


def test_the_same_object_while_nothing_changes() -> None:
    bench = on_ground()
    first = bench.result
    for number in range(100):
        assert bench.at(2.0 + number * 0.01) is first
    moved = bench.at(10.0, switches("up"))
    assert moved is not first
    quiet = bench.at(10.01)
    assert quiet.events == ()
    assert quiet.outputs is moved.outputs
    assert quiet.commands is moved.commands
    assert bench.at(10.02) is quiet


def test_equal_inputs_in_new_objects_give_the_same_outputs_object() -> None:
    bench = on_ground()
    first = bench.result
    for number in range(10):
        panel = switches("down")
        state = ground(gear_handle=DOWN)
        assert bench.at(2.0 + number, panel, state) is first


def test_systems_that_look_again_and_find_nothing_give_the_same_object() -> None:
    """A wheel that hops for less than the settling time; a handle of the simulator's own."""
    bench = on_ground()
    first = bench.result
    hop = changed(bench.aircraft, strut_compressed=(False, True, True))
    assert bench.at(2.0, aircraft=hop) is first
    assert bench.at(2.1, aircraft=ground(gear_handle=DOWN)) is first
    assert bench.at(3.0, aircraft=ground(gear_handle=UP)) is first


def test_a_command_that_changes_alone_is_given() -> None:
    """No lamp changes and nothing happens: the simulator's handle is known now, and agrees."""
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(leg_locks=(FREE,) * 3))
    before = bench.at(1.0)
    assert bench.command == "nothing"
    after = bench.at(2.0, aircraft=air(gear_handle=DOWN, leg_locks=(FREE,) * 3))
    assert (after.outputs, after.events) == (before.outputs, ())
    assert bench.command == "down"


def test_events_are_given_once() -> None:
    bench = on_ground()
    assert bench.at(2.0, switches("up")).events != ()
    assert bench.at(2.01).events == ()
    assert bench.at(2.02, switches("up", dimmer=0.5)).events == ()


def test_a_event_that_changes_no_output_is_given_once_too() -> None:
    bench = flying_gear_down()
    result = bench.at(2.0, aircraft=ground(gear_handle=DOWN))
    assert result.events == ()
    assert [h.name for h in bench.at(3.0).events] == ["touched_down"]
    assert bench.at(3.01).events == ()


# -- ticks ----------------------------------------------------------------------------------------


def story() -> list[Moment]:
    """Take-off, retraction turned round, approach, silence, flaps, landing, an attempt."""
    down, up = switches("down"), switches("up")
    standing, flying = ground(gear_handle=DOWN), air(gear_handle=UP)
    slow = changed(flying, throttle_fraction=(CLOSED, OPEN))
    slower = changed(flying, throttle_fraction=(CLOSED, CLOSED))
    landing = changed(slower, flap_deg=35.0)
    return [
        (0.0, down, standing),
        (3.017, down, changed(standing, strut_compressed=(False, True, True))),
        (4.003, down, changed(flying, gear_handle=DOWN)),
        (6.123, switches("between"), changed(flying, gear_handle=DOWN)),
        (6.391, up, flying),
        (10.044, down, flying),
        (12.071, up, flying),
        (30.007, up, slow),
        (33.333, switches("up", horn_silence=True), slow),
        (33.5, up, slow),
        (36.04, up, slower),
        (38.0, switches("up", horn_silence=True), slower),
        (38.21, up, slower),
        (40.01, up, landing),
        (42.013, switches("between"), landing),
        (44.9, down, landing),
        (70.0, down, changed(landing, strut_compressed=(False, True, False))),
        (71.03, down, changed(landing, strut_compressed=(False, True, True))),
        (72.9, down, changed(landing, strut_compressed=(True, True, True))),
        (80.0, switches("down", steering_button=True), ground((CLOSED, CLOSED))),
        (84.0, down, ground((CLOSED, CLOSED))),
        (85.111, up, ground((CLOSED, CLOSED))),
        (88.0, switches("down", lamp_test=True), ground((CLOSED, CLOSED))),
        (89.0, switches("down", warning_test=True), ground((CLOSED, CLOSED))),
        (90.0, down, ground((CLOSED, CLOSED), strut_compressed=(True, False, True))),
        (110.0, down, ground((CLOSED, CLOSED))),
    ]


def test_the_story_at_5_hz_50_hz_and_1_khz_is_the_same_story() -> None:
    reported = {
        rate_hz: Bench().play_at(story(), rate_hz, 115.0).events for rate_hz in (5, 50, 1000)
    }
    alone = Bench().play([*story(), (115.0, switches("down"), ground((CLOSED, CLOSED)))])
    assert reported[5] == reported[50] == reported[1000] == alone.events, "times and words alike"
    names = {event.name for event in reported[50]}
    assert len(names) > 20, sorted(names)
    off_ticks = [h.time_s for h in reported[5] if abs(h.time_s * 5 - round(h.time_s * 5)) > 1e-6]
    assert len(off_ticks) > 15, "a story that only happens on ticks proves nothing"


def test_a_timer_that_is_due_between_two_steps_acts_before_the_new_inputs() -> None:
    """The leg had arrived before the handle was moved, though nobody looked in between."""
    # The simulator's handle stays where it is, which is not what this is about.
    bench = flying_gear_down(twin(agreement={"handle_limit_s": None}))
    bench.at(2.0, switches("up"))
    bench.at(100.0, switches("down"))
    assert bench.logged[-4:-2] == [(10.7, "leg_locked_up", "right"), (10.7, "gear_locked_up", "")]
    assert set(bench.leg_states) == {LegState.UNLOCKING_TO_EXTEND}


def test_at_the_very_instant_of_a_timer_the_inputs_come_first() -> None:
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(2.5, switches("down"))
    assert set(bench.leg_states) == {LegState.DOWN_LOCKED}, "turned round, not unlocked"


def test_a_late_look_at_the_very_instant_of_a_timer_keeps_the_order() -> None:
    """The nose leg's lock opened before; the left one's is due now, and the handle is first."""
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    assert 2.0 + 0.6 == 2.6
    bench.at(2.6, switches("down"))
    assert bench.leg_states == [
        LegState.EXTENDING,
        LegState.DOWN_LOCKED,
        LegState.DOWN_LOCKED,
    ]


def test_the_next_due_time_is_the_earliest_timer() -> None:
    bench = flying_gear_down()
    assert bench.logic.next_due_s == inf
    bench.at(2.0, switches("up"))
    assert bench.logic.next_due_s == pytest.approx(2.5)
    bench.at(2.5)
    assert bench.logic.next_due_s == pytest.approx(2.6)
    bench.at(60.0)
    assert bench.logic.next_due_s == inf


PANELS = st.builds(
    SwitchState,
    gear_handle=st.sampled_from(list(HandleContacts)),
    horn_silence=st.sampled_from([True, False, None]),
    lamp_test=st.sampled_from([True, False, None]),
    warning_test=st.sampled_from([True, False, None]),
    steering_button=st.sampled_from([True, False, None]),
    dimmer=st.sampled_from([None, 0.0, 0.5, 1.0]),
)
KNOWN = st.sampled_from([True, False, None])
STATES = st.builds(
    AircraftState,
    throttle_fraction=st.lists(
        st.sampled_from([None, nan, 0.0, 0.25, 0.26, 0.3, 1.0]), max_size=3
    ).map(tuple),
    flap_deg=st.sampled_from([None, nan, 0.0, 20.0, 20.1, 40.0]),
    strut_compressed=st.one_of(
        st.sampled_from([(True,) * 3, (False,) * 3]), st.lists(KNOWN, max_size=4).map(tuple)
    ),
    leg_locks=st.lists(st.builds(LegLocks, KNOWN, KNOWN), max_size=4).map(tuple),
    gear_handle=st.sampled_from([UP, DOWN, None]),
    hydraulic_pressure_psi=st.sampled_from([None, nan, 0.0, 1500.0]),
)
SCRIPTS = st.lists(st.tuples(st.integers(1, 8000), PANELS, STATES), min_size=1, max_size=15)


@settings(max_examples=examples(150), deadline=None)
@given(script=SCRIPTS, own=st.booleans(), every_ms=st.sampled_from([7, 50, 333]))
def test_law_the_tick_rate_changes_nothing(
    script: list[tuple[int, SwitchState, AircraftState]], own: bool, every_ms: int
) -> None:
    parameters = twin() if own else fed_twin()
    rarely, often = Bench(parameters), Bench(parameters)
    now_ms = 0
    for gap_ms, panel, state in script:
        for tick_ms in range(now_ms + 1, now_ms + gap_ms, every_ms):
            often.at(tick_ms / 1000)
        now_ms += gap_ms
        rarely.at(now_ms / 1000, panel, state)
        often.at(now_ms / 1000, panel, state)
        assert rarely.result.outputs == often.result.outputs
        assert rarely.result.commands == often.result.commands
        assert rarely.logic.view() == often.logic.view()
        assert rarely.events == often.events


# -- found, unknown, short, not a number ----------------------------------------------------------


def test_found_flying_with_the_handle_up_the_legs_are_up() -> None:
    bench = flying_gear_up()
    assert bench.all_locked_up
    assert bench.lit == set()
    assert bench.names == []


@pytest.mark.parametrize(
    "state",
    [
        air(gear_handle=UP, strut_compressed=()),
        air(gear_handle=UP, strut_compressed=(False, None, False)),
        air(gear_handle=UP, strut_compressed=(False, True, False)),
        air(gear_handle=DOWN),
        air(gear_handle=None),
    ],
)
def test_found_in_any_other_way_the_legs_are_down(state: AircraftState) -> None:
    bench = Bench()
    bench.at(0.0, switches("down"), state)
    bench.at(60.0)
    assert bench.all_locked_down


def test_the_gear_is_placed_once() -> None:
    bench = Bench()
    bench.at(0.0, switches("down"), air(gear_handle=DOWN))
    bench.at(1.0, aircraft=AircraftState())
    bench.at(2.0, aircraft=air(gear_handle=UP))
    bench.at(60.0)
    assert bench.all_locked_down


def test_a_state_that_says_nothing_of_the_gear_does_not_place_it() -> None:
    bench = Bench()
    bench.at(0.0, switches("up"), AircraftState(throttle_fraction=(OPEN, OPEN)))
    bench.at(1.0, aircraft=air(gear_handle=UP))
    assert bench.all_locked_up
    assert bench.command == "up"
    assert bench.names == []


def test_not_a_number_is_unknown_everywhere() -> None:
    quiet = twin(missing_data={"warning_limit_s": None})
    plain, odd = flying_gear_up(quiet), flying_gear_up(quiet)
    state = changed(
        odd.aircraft, throttle_fraction=(nan, nan), flap_deg=nan, hydraulic_pressure_psi=nan
    )
    for bench, then in ((plain, None), (odd, state)):
        bench.at(2.0, aircraft=then)
        bench.at(20.0)
    assert plain.result.outputs == odd.result.outputs
    assert odd.result.outputs.gauges == {}
    assert odd.names == []


def test_not_a_number_again_and_again_makes_no_new_outputs() -> None:
    bench = flying_gear_up()
    outputs = bench.result.outputs
    for number in range(5):
        state = air((nan, nan), nan, gear_handle=UP, hydraulic_pressure_psi=nan)
        assert bench.at(2.0 + number, aircraft=state).outputs is outputs


def test_short_and_long_tuples_are_taken() -> None:
    bench = Bench(fed_twin())
    for number, size in enumerate((0, 1, 2, 3, 4, 9)):
        state = AircraftState(
            throttle_fraction=(OPEN,) * size,
            strut_compressed=(True,) * size,
            leg_locks=(LOCKED_DOWN,) * size,
        )
        bench.at(float(number), switches("down"), state)
        view = bench.logic.view()
        assert [leg.strut_compressed for leg in view.legs] == [True] * min(size, 3) + [None] * (
            3 - min(size, 3)
        )
        assert len(bench.greens) == min(size, 3)


def test_an_aircraft_with_one_leg_and_one_engine() -> None:
    one = twin(legs=[{"name": "tail"}], engines=1, steering={"steering_leg": None})
    bench = Bench(one)
    bench.at(0.0, switches("down"), AircraftState(strut_compressed=(True,)))
    assert bench.lit == {"tail_green"}
    ambers = {"simulator_disagrees_amber", "gear_warning_failed_amber"}
    lamps = {"tail_green", "tail_red", "handle_red", *ambers}
    assert set(bench.result.outputs.lamps) == lamps


# -- gauges and view ------------------------------------------------------------------------------


@pytest.mark.parametrize(("reported", "shown"), [(0.0, 0.0), (1498.0, 1500.0), (1503.0, 1500.0)])
def test_the_pressure_gauge_moves_in_steps(reported: float, shown: float) -> None:
    bench = on_ground(hydraulic_pressure_psi=reported)
    assert bench.result.outputs.gauges == {"hydraulic_pressure": shown}


def test_noise_of_the_pressure_makes_no_new_outputs_and_its_loss_does() -> None:
    bench = on_ground(hydraulic_pressure_psi=1500.0)
    outputs = bench.result.outputs
    for number in range(10):
        state = changed(bench.aircraft, hydraulic_pressure_psi=1500.0 + (-1) ** number * 4.0)
        assert bench.at(2.0 + number, aircraft=state).outputs is outputs
    bench.at(20.0, aircraft=changed(bench.aircraft, hydraulic_pressure_psi=None))
    assert bench.result.outputs.gauges == {}


def test_the_view_reports_the_faults_in_words() -> None:
    bench = on_ground()
    assert bench.logic.view().faults == ()
    bench.at(2.0, switches("both"), changed(bench.aircraft, strut_compressed=(True, False, True)))
    bench.at(30.0)
    assert bench.logic.view().faults == (
        "the squat switches disagree",
        "both contacts of the gear handle closed",
    ), "in the order of the systems"


def test_asking_for_the_view_changes_nothing() -> None:
    seen, unseen = Bench(), Bench()
    for moment in story():
        assert seen.logic.view() == seen.logic.view()
        seen.at(*moment)
        unseen.at(*moment)
    assert seen.logged == unseen.logged


def test_two_logics_do_not_share_anything() -> None:
    first, second = Bench(), Bench()
    first.play(story())
    assert second.at(0.0).events == ()
    second = Bench().play(story())
    assert first.logged == second.logged


@pytest.mark.parametrize("name", AircraftState.__struct_fields__)
def test_every_single_value_may_be_lost_at_any_time(name: str) -> None:
    """Nothing raises, nothing moves that was not moving, and back it is as before."""
    empty = getattr(AircraftState(), name)
    for start in (flying_gear_up, flying_gear_down, on_ground):
        bench = start()
        before, states = bench.result, bench.leg_states
        whole = bench.aircraft
        bench.at(2.0, aircraft=changed(whole, **{name: empty}))
        bench.at(30.0)
        assert bench.leg_states == states
        bench.at(31.0, aircraft=whole)
        bench.at(60.0)
        assert bench.result == before
        assert bench.leg_states == states
