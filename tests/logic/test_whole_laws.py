"""What holds at every step of whole aircraft, whatever is moved, broken or lost.

I1, I2, I4 to I7 are the invariants of the horn's table (14 CFR 23.729(f), 25.729(e)(1), FAA
Airplane Flying Handbook ch. 12), here with every system on; the parking brake's lamp is 14 CFR
25.735(d).
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isnan, nextafter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.signals import GearPosition, HandleContacts, LegState, LogicView, SwitchState
from tests.examples import examples
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import STARTS, Move, Moves, Run, began, moves_of, scenes

ALL = {**KINDS, "fed_jet": fed("jet"), "fed_tail_wheel": fed("tail_wheel")}
TIGHT = settings(max_examples=examples(25), deadline=None)


def known(value: float | None) -> bool:
    return value is not None and not isnan(value)


class Watch:
    """Looks at every step of a run."""

    def __init__(self) -> None:
        self.before: LogicView | None = None
        self._placed = False

    def __call__(self, run: Run) -> None:
        view = run.view
        self._legs(run, view)
        self._lamps(run, view)
        self._horn(run, view)
        self._numbers(run, view)
        self.before = view

    def _legs(self, run: Run, view: LogicView) -> None:
        reported = run.aircraft.gear_handle is not None or any(
            strut is not None for strut in run.aircraft.strut_compressed
        )
        found, self._placed = not self._placed and reported, self._placed or reported
        before = self.before
        if before is None or found or run.parameters.authority.legs == "feed":
            return  # found there, not moved there
        for was, now in zip(before.legs, view.legs, strict=True):
            ends = {was.state, now.state}
            assert ends != {LegState.UP_LOCKED, LegState.DOWN_LOCKED}, "from lock to lock"
            weight = all(leg.strut_compressed for leg in (*before.legs, *view.legs))
            if weight and was.state is LegState.DOWN_LOCKED:
                assert now.state is LegState.DOWN_LOCKED, "I5: weight on all struts"

    def _lamps(self, run: Run, view: LogicView) -> None:
        lit, switches = run.lit, run.switches
        assert run.powered or not lit
        if run.tested or not run.powered:
            return
        for leg in view.legs:
            if f"{leg.name}_green" in lit:
                assert leg.locks.down_locked is True, "I6"
                assert leg.locks.up_locked is False, "I6"
                assert leg.state is not LegState.UP_LOCKED, "I7"
                assert not leg.locks.is_up, "I7"
        brakes = run.parameters.brakes
        if "parking_brake_amber" in run.lamp_names and "parking_brake_amber" not in lit:
            assert brakes is not None
            lever = switches.get("parking_brake")
            assert known(lever), "a lost lever is not released"
            assert (lever or 0.0) <= brakes.parking_released_fraction
            assert view.values["parking_brake_state"] == "released"
            pedals = (*run.aircraft.brake_pedal_fraction, switches.get("left_brake"))
            pedals = (*pedals, switches.get("right_brake"), switches.get("emergency_brake"))
            if all(pedal == 0.0 for pedal in pedals) and run.parameters.authority.brakes == "model":
                for side in ("left_brake_psi", "right_brake_psi"):
                    pressure = view.values[side]
                    assert isinstance(pressure, float)
                    assert pressure <= brakes.parking_residual_psi

    def _horn(self, run: Run, view: LogicView) -> None:
        if not run.powered:
            assert not run.horn_sounds
            return
        all_down = all(leg.locks.is_down for leg in view.legs)
        flaps = run.aircraft.flap_deg
        limit_deg = run.parameters.gear_warning.flap_limit_deg
        if known(flaps) and limit_deg is not None and (flaps or 0.0) > limit_deg:
            assert all_down or run.horn_sounds, "I1"
        in_air = all(leg.strut_compressed is False for leg in view.legs)
        others = ("takeoff_config_red", "leave_gear_down_amber")
        tested = run.switches.get("lamp_test") is True or run.switches.get("warning_test") is True
        if all_down and in_air and not tested and not view.values.get("leave_gear_down_s"):
            assert not run.horn_sounds or any(name in run.lit for name in others), "I2"

    def _numbers(self, run: Run, view: LogicView) -> None:
        for info in run.published:
            value = view.values[info.name]
            if value is None:
                continue
            if info.form == "number":
                assert isinstance(value, (int, float)), info.name
                assert not isinstance(value, bool), info.name
                assert info.low <= value <= info.high, (info.name, value)
            elif info.form == "word":
                assert value in info.words, (info.name, value)
            else:
                assert isinstance(value, bool), info.name
        for leg in view.legs:
            assert leg.travel_fraction is None or 0.0 <= leg.travel_fraction <= 1.0
        hydraulics = run.parameters.hydraulics
        pressure = run.result.outputs.gauges.get("hydraulic_pressure")
        if hydraulics is not None and pressure is not None:
            assert 0.0 <= pressure <= hydraulics.relief_psi + hydraulics.gauge_step_psi
        assert all(0 <= level <= 255 for level in run.result.outputs.lamps.values())
        commands, steering = run.result.commands, run.parameters.steering
        assert all(0.0 <= fraction <= 1.0 for fraction in commands.brake_fraction)
        most_deg = max(point.angle_deg for point in steering.schedule)
        assert abs(commands.steering_deg) <= (most_deg if commands.steering_engaged else 0.0)


@pytest.mark.parametrize("kind", ALL)
@pytest.mark.parametrize("start", [True, False], ids=["from_a_start", "from_nothing"])
@TIGHT
@given(data=st.data())
def test_every_step_keeps_the_laws(kind: str, start: bool, data: st.DataObject) -> None:
    moves = data.draw(moves_of(ALL[kind], start=start))
    Run(ALL[kind], Watch()).play(moves)


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop"])
@TIGHT
@given(data=st.data())
def test_a_parking_brake_that_sticks_keeps_its_lamp(kind: str, data: st.DataObject) -> None:
    """D-1: 14 CFR 25.735(d): dark only when it is fully released, its trapped pressure too."""
    run = began(ALL[kind], "parked", Watch())
    run.wait(10.0)
    run.move(0.1, Move({"parking_brake": 1.0}))
    run.move(0.5, Move(fault=("parking_brake", "sticking")))
    run.move(0.5, Move({"parking_brake": 0.0}))
    assert "parking_brake_amber" in run.lit
    run.play(data.draw(moves_of(ALL[kind], start=False, most=10)))


def play(kind: str, moves: Moves, then: Callable[[Run], None]) -> None:
    """A run in which ``then`` looks after every move."""
    run = Run(ALL[kind])
    for wait_s, move in moves:
        run.move(wait_s, move)
        then(run)


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data())
def test_tests_restore_exactly(kind: str, data: st.DataObject) -> None:
    """B-5: US Army TM 55-1510-221-10: all lamps while held, exactly those of before on release."""

    def press(run: Run) -> None:
        run.take(Move({"lamp_test": False, "warning_test": False}))
        before = run.step(run.now_s).outputs
        run.take(Move({"warning_test": True}))
        run.step(run.now_s)
        if run.has_board and run.powered:
            assert run.horn_sounds
            assert {f"{leg.name}_red" for leg in run.parameters.legs} <= run.lit
        run.take(Move({"warning_test": False, "lamp_test": True}))
        tested = run.step(run.now_s).outputs
        if run.has_board:
            assert set(tested.lamps.values()) == {255 if run.powered else 0}
        run.take(Move({"lamp_test": False}))
        assert run.step(run.now_s).outputs == before

    play(kind, data.draw(moves_of(ALL[kind])), press)


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data())
def test_silence_changes_no_lamp(kind: str, data: st.DataObject) -> None:
    """I4; and from US Army TM 1-1510-218-10: the handle's light cannot be cancelled."""

    def press(run: Run) -> None:
        for name in ("horn_silence", "lever_horn_silence"):
            for held in (False, True, False):
                before, view = run.result, run.view
                run.take(Move({name: held}))
                after = run.step(run.now_s)
                assert after.outputs.lamps == before.outputs.lamps
                assert after.commands == before.commands
                assert run.view.legs == view.legs

    play(kind, data.draw(moves_of(ALL[kind], most=16)), press)


@pytest.mark.parametrize("kind", ["jet", "piston", "fed_jet"])
@TIGHT
@given(data=st.data())
def test_a_lever_that_closes_sounds_the_horn(kind: str, data: st.DataObject) -> None:
    """I3: 14 CFR 23.729(f)(1): any later retardation, whatever was before."""
    run = Run(ALL[kind]).play(data.draw(moves_of(ALL[kind])))
    engines = run.parameters.engines
    quiet = {
        "flap_deg": 0.0,
        "altitude_ft": 0.0,
        "airspeed_kias": 90.0,
        "bus_powered": True,
        "throttle_fraction": (0.8,) * engines,
    }
    run.move(0.0, Move({"lamp_test": False, "warning_test": False}, quiet, board=True, feed=True))
    run.wait(0.6)
    levers = [0.8] * engines
    for number in range(engines):
        run.take(Move({"horn_silence": False}))
        run.step(run.now_s)
        run.take(Move({"horn_silence": True}))
        run.step(run.now_s)
        levers[number] = 0.1
        run.move(0.0, Move({}, {"throttle_fraction": tuple(levers)}))
        run.wait(0.6)
        all_down = all(leg.locks.is_down for leg in run.view.legs)
        assert all_down or run.horn_sounds
        assert all_down or not run.view.horn_silenced


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data())
def test_the_same_objects_give_the_same_result(kind: str, data: st.DataObject) -> None:
    """A step in which nothing changes costs nothing: the very object comes again."""

    def again(run: Run) -> None:
        reported = run.result
        once = run.step(run.now_s)
        assert once is reported if not reported.events else not once.events
        assert once.outputs is reported.outputs
        assert once.commands is reported.commands
        assert run.step(run.now_s) is once

    play(kind, data.draw(moves_of(ALL[kind])), again)


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data())
def test_nothing_comes_before_its_time(kind: str, data: st.DataObject) -> None:
    """Right before ``next_due_s`` nothing has changed; right after it nothing more has."""

    def at_due(run: Run) -> None:
        run.step(run.now_s)
        for _ in range(4):
            due_s, reported = run.logic.next_due_s, run.result
            if due_s == inf:
                return
            assert due_s > run.now_s, "what is due was done"
            early = run.step(max(nextafter(due_s, -inf), run.now_s))
            assert early is reported if not reported.events else early.outputs is reported.outputs
            on_time = run.step(due_s)
            late = run.step(nextafter(due_s, inf))
            assert late.outputs is on_time.outputs
            assert late.commands is on_time.commands
            assert not late.events

    play(kind, data.draw(moves_of(ALL[kind], most=14)), at_due)


FIRST = st.fixed_dictionaries(
    {
        name: st.sampled_from([None, False, True])
        for name in (
            "horn_silence",
            "steering_button",
            "second_steering_button",
            "downlock_release",
            "gear_reset",
            "aux_pump",
            "emergency_extend",
            "hand_pump",
            "antiskid",
            "cold_weather",
        )
    }
)


@pytest.mark.parametrize("kind", ["jet", "piston", "turboprop", "tail_wheel"])
@TIGHT
@given(
    start=st.sampled_from(STARTS),
    handle=st.sampled_from(HandleContacts),
    operated=FIRST,
    parking=st.sampled_from([None, 0.0, 0.5, 1.0]),
    after_loss=st.booleans(),
)
def test_start_up_moves_nothing(
    kind: str,
    start: str,
    handle: HandleContacts,
    operated: dict[str, bool | None],
    parking: float | None,
    after_loss: bool,
) -> None:
    """Switches that are found operated, at start-up or after a lost board, move nothing."""
    aircraft, scene = ALL[kind], scenes(ALL[kind])[start]
    found = replace(scene, switches={**dict(scene.switches), **operated})
    found = replace(
        found,
        switches={
            **dict(found.switches),
            "gear_handle": handle,
            "parking_brake": parking,
        },
    )
    run = Run(aircraft)
    if after_loss:
        run.move(0.0, scene)
        run.wait(9.0)
        run.move(0.0, Move(board=False))
        run.wait(1.0)
        run.panel = SwitchState()
        found = replace(found, aircraft={}, board=True)
    run.events.clear()
    run.move(0.0, found)
    at_first = [(leg.state, leg.travel_fraction) for leg in run.view.legs]
    run.wait(20.0)
    assert [(leg.state, leg.travel_fraction) for leg in run.view.legs] == at_first
    commands = run.result.commands
    assert commands.gear in (None, GearPosition.UP if start == "gear up" else GearPosition.DOWN)
    assert not commands.emergency_extend
    assert not commands.steering_engaged
    assert run.view.values.get("emergency_extension", "stowed") == "stowed"
    names = {event.name for event in run.events}
    assert not names & {
        "emergency_extension_begun",
        "leg_unlocked",
        "steering_engaged",
        "parking_brake_released",
        "gear_power_reset",
    }
    if aircraft.brakes is not None and parking == 1.0 and start == "parked":
        assert commands.parking_brake


def test_the_laws_are_looked_at() -> None:
    """Guard of this file: the watch sees a run that breaks a law."""
    run = began(KINDS["jet"], "gear up")
    watch = Watch()
    watch(run)
    run.result = replace(run.result, outputs=replace(run.result.outputs, lamps={"nose_green": 255}))
    with pytest.raises(AssertionError, match="I6"):
        watch(run)
