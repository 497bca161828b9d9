"""A whole flight, from taxi to a stop: what the aircraft does, what the panel shows."""

from __future__ import annotations

import itertools
from functools import cache

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.feed_file import ModelName
from panelbridge.signals import GearPosition, HornPattern
from tests.feeds.flight_model.flown import TICK_S, Flown, fly, twin_jet

pytestmark = pytest.mark.thorough

LIGHT: ModelName = "light_twin_jet"
HEAVY: ModelName = "heavy_freighter"
MODELS = (LIGHT, HEAVY)
PHASES = [
    *("parked", "taxi", "line-up", "take-off roll", "climb", "cruise", "idle descent", "approach"),
    *("final approach", "landing", "roll-out", "parked again"),
]


@cache
def flight_of(model: ModelName) -> Flown:
    return fly(model, twin_jet(legs_by_feed=True))


def phases_of(flown: Flown) -> list[str]:
    return [phase for phase, _ in itertools.groupby(reading.phase for reading in flown.readings)]


@pytest.mark.parametrize("model", MODELS)
def test_it_flies_every_phase_and_stops(model: ModelName) -> None:
    flown = flight_of(model)
    assert phases_of(flown) == PHASES
    last = flown.readings[-1].aircraft
    assert last.ground_speed_kt == pytest.approx(0.0, abs=0.1)
    assert last.strut_compressed == (True, True, True)
    assert not any(last.engine_running)
    assert all(reading.fresh for reading in flown.readings)


def test_both_models_give_the_same_events_in_order() -> None:
    """Their legs take different times, and all of the aircraft's speeds differ."""
    events = [[(one.name, one.subject) for one in flight_of(model).events] for model in MODELS]
    assert events[0] == events[1]
    assert len(events[0]) > 25


def test_the_legs_take_the_times_of_their_model() -> None:
    """5 s and 12.6 s: ``time`` of the slowest leg in the model's own file."""
    for model, last_s in ((LIGHT, 4.9), (HEAVY, 12.6)):
        times = {one.name: one.time_s for one in flight_of(model).events}
        for way in ("up", "down"):
            took_s = times[f"gear_locked_{way}"] - times[f"gear_{way}_commanded"]
            assert took_s == pytest.approx(last_s, abs=3 * TICK_S)


@pytest.mark.parametrize("model", MODELS)
def test_the_legs_lock_one_after_the_other(model: ModelName) -> None:
    locked = flight_of(model).named("leg_locked_up", "leg_locked_down")
    assert locked == [
        *(("leg_locked_up", leg) for leg in ("nose", "left", "right")),
        *(("leg_locked_down", leg) for leg in ("nose", "left", "right")),
    ]


@pytest.mark.parametrize("model", MODELS)
def test_the_horn_sounds_in_the_idle_descent_and_not_before(model: ModelName) -> None:
    flown = flight_of(model)
    both = zip(flown.readings, flown.results, strict=True)
    loud = {one.phase for one, made in both if made.outputs.horn is not HornPattern.SILENT}
    assert "idle descent" in loud
    assert loud <= {"idle descent", "approach"}
    sounded = [one for one in flown.events if one.name == "horn_sounded"]
    before = next(i for i, one in enumerate(flown.readings) if one.phase == "idle descent")
    assert sounded[0].time_s >= before * TICK_S


@pytest.mark.parametrize("model", MODELS)
def test_it_touches_down_on_one_main_wheel_first(model: ModelName) -> None:
    struts = [one.aircraft.strut_compressed for one in flight_of(model).readings]
    touches = struts[struts.index((False, False, False)) :]
    ways = [both for both, _ in itertools.groupby(touches)]
    assert ways[1:3] == [(False, False, True), (False, True, True)]
    assert ways[-1] == (True, True, True)
    assert flight_of(model).named("took_off", "touched_down") == [
        ("took_off", ""),
        ("touched_down", ""),
    ]


@pytest.mark.parametrize("model", MODELS)
def test_nothing_is_wrong_with_a_flight(model: ModelName) -> None:
    """No fault and no caution: the only warning is the horn of the idle descent."""
    found = [one for one in flight_of(model).events if one.level.value != "info"]
    assert {one.name for one in found} == {"horn_sounded"}


def test_two_flights_are_the_same() -> None:
    aircraft = twin_jet(legs_by_feed=True)
    assert fly(LIGHT, aircraft).readings == flight_of(LIGHT).readings


def test_the_panel_s_own_legs_agree_with_the_handle_of_the_model() -> None:
    flown = fly(LIGHT, twin_jet())
    handles = [one.aircraft.gear_handle for one in flown.readings]
    assert [at for at, _ in itertools.groupby(handles)] == [
        *(GearPosition.DOWN, GearPosition.UP, GearPosition.DOWN),
    ]
    assert flown.named("gear_locked_up", "gear_locked_down") == [
        ("gear_locked_up", ""),
        ("gear_locked_down", ""),
    ]


def test_the_demonstration_flies_it_on_a_simulated_board(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Whole way: hands, contacts, board, link, logic, model; as fast as this machine can."""
    assert run_app(["demo", "--flight-model", "--headless", "--speed", "10000"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    names = [line[17:].split()[0] for line in out.splitlines()[2:]]
    wanted = [
        *("board_connected", "parking_brake_set", "parking_brake_released", "steering_engaged"),
        *("took_off", "gear_up_commanded", "gear_locked_up", "horn_sounded", "horn_silenced"),
        *("gear_down_commanded", "gear_locked_down", "touched_down", "feed_finished"),
    ]
    assert [name for name in names if name in wanted] == [
        *wanted[:-1],
        *("steering_engaged", "parking_brake_set"),
        wanted[-1],
    ]
