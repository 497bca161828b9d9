from __future__ import annotations

import itertools
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.feeds.demo_flight import DemoFlight, DemoPilot
from panelbridge.feeds.feed import Feed, FeedReading, TrustedFeed
from panelbridge.feeds.fixed_feed import FixedFeed, parked
from panelbridge.feeds.flight_script import (
    DURATION_S,
    KEY_POINTS,
    LEGS,
    PILOT_ACTIONS,
    STRUT_CHANGES,
    Side,
)
from panelbridge.feeds.flight_values import values_at
from panelbridge.signals import AircraftState, Commands, GearPosition


def test_parked_stands_on_every_leg() -> None:
    aircraft = parked(legs=3, engines=2)
    assert aircraft.strut_compressed == (True, True, True)
    assert aircraft.throttle_fraction == (0.0, 0.0)
    assert aircraft.gear_handle is GearPosition.DOWN


def test_a_fixed_feed_answers_a_gear_command_with_its_own_handle() -> None:
    feed = FixedFeed(parked(3, 2))
    feed.send(1.0, Commands(gear=None))
    assert feed.read(1.0).aircraft.gear_handle is GearPosition.DOWN
    feed.send(2.0, Commands(gear=GearPosition.UP))
    assert feed.read(2.0).aircraft.gear_handle is GearPosition.UP
    assert feed.read(2.0).fresh


def test_the_script_is_in_order_and_the_pilot_finishes_in_time() -> None:
    times = [point.time_s for point in KEY_POINTS]
    assert times == sorted(set(times))
    actions = [action.time_s for action in PILOT_ACTIONS]
    assert actions == sorted(actions)
    assert actions[-1] < DURATION_S
    for changes in STRUT_CHANGES.values():
        states = [state for _, state in changes]
        assert all(a != b for a, b in itertools.pairwise(states))


@pytest.mark.parametrize("point", KEY_POINTS, ids=lambda p: f"{p.time_s:g}s")
def test_the_flight_passes_through_every_key_point(point: object) -> None:
    assert isinstance(point, type(KEY_POINTS[0]))
    values = values_at(point.time_s)
    assert values.airspeed_kias == pytest.approx(point.airspeed_kias)
    assert values.altitude_ft == pytest.approx(point.altitude_ft)
    assert values.throttles == pytest.approx(point.throttles)
    assert values.flap_deg == pytest.approx(point.flap_deg)


@given(st.floats(-10, DURATION_S + 10))
def test_between_key_points_values_lie_between_them(time_s: float) -> None:
    clamped = min(max(time_s, 0.0), DURATION_S)
    below = max(p.time_s for p in KEY_POINTS if p.time_s <= clamped)
    a = next(p for p in KEY_POINTS if p.time_s == below)
    b = next((p for p in KEY_POINTS if p.time_s > below), a)
    values = values_at(time_s)
    low, high = sorted((a.altitude_ft, b.altitude_ft))
    assert low - 1e-6 <= values.altitude_ft <= high + 1e-6
    assert all(0.0 <= lever <= 1.0 for lever in values.throttles)
    assert len(values.compressed) == len(LEGS)


def test_the_flight_finishes_once_and_can_be_flown_again() -> None:
    flight = DemoFlight(LEGS, engines=2)
    assert not flight.read(100.0).finished  # the first reading is its start
    assert flight.read(100.0 + DURATION_S).finished
    flight.restart(500.0)
    assert not flight.read(500.0).finished
    assert flight.read(500.0).phase == "parked"


def test_a_repeating_flight_never_finishes() -> None:
    flight = DemoFlight(LEGS, engines=2, repeat=True)
    flight.read(0.0)
    assert not flight.read(DURATION_S + 1.0).finished
    assert flight.flight_time_s(DURATION_S + 1.0) == 0.0


def test_the_flight_fits_other_aircraft() -> None:
    reading = DemoFlight(("left", "right", "tail"), engines=1).read(0.0)
    assert reading.aircraft.throttle_fraction == (0.05,)
    assert reading.aircraft.strut_compressed == (True, True, True)


def _at(time_s: float, **kinds: Any) -> AircraftState:
    flight = DemoFlight(LEGS, engines=2, **kinds)
    flight.read(0.0)
    return flight.read(time_s).aircraft


@pytest.mark.parametrize(
    ("time_s", "running"),
    [(0.0, (False, False)), (11.0, (True, False)), (13.0, (True, True)), (100.0, (True, True)),
     (196.2, (False, True)), (199.0, (False, False))],
)  # fmt: skip
def test_the_engines_are_started_and_stopped(time_s: float, running: tuple[bool, bool]) -> None:
    assert _at(time_s).engine_running == running
    assert _at(time_s).bus_powered is True


def test_a_third_engine_follows_the_second() -> None:
    flight = DemoFlight(LEGS, engines=3)
    flight.read(0.0)
    assert flight.read(12.0).aircraft.engine_running == (True, False, False)
    assert flight.read(100.0).aircraft.throttle_fraction == (0.08, *[pytest.approx(0.644)] * 2)


WHEELS: tuple[Side, ...] = ("left", "left", "right", "right")


@pytest.mark.parametrize(
    ("time_s", "rpm"),
    [
        (0.0, (0, 0, 0, 0)),
        (25.0, (14 * 17,) * 4),  # taxi
        (54.4, (132.2 * 17,) * 4),  # the last instant on the ground
        (55.9, (132.2 * 17 / 2,) * 4),  # half of the time to stop
        (100.0, (0, 0, 0, 0)),
        (168.45, (113.1 * 17 / 2, 113.1 * 17 / 2, 0, 0)),  # left has touched, right not yet
        (174.9, ((102 - 90 * 3.9 / 17) * 17,) * 4),
        (175.0, (80.8235 * 17, 0, 80.8235 * 17, 80.8235 * 17)),  # one wheel locks
        (175.6, ((102 - 90 * 4.6 / 17) * 17,) * 4),
        (199.0, (0, 0, 0, 0)),
    ],
)
def test_the_wheels_turn_as_the_ground_goes_by(time_s: float, rpm: tuple[float, ...]) -> None:
    found = _at(time_s, wheels=WHEELS).wheel_speed_rpm
    assert found == pytest.approx(rpm, abs=0.2)


def test_without_braked_wheels_there_is_no_wheel_speed() -> None:
    assert _at(30.0).wheel_speed_rpm == ()


@pytest.mark.parametrize(
    ("time_s", "brakes", "steering"),
    [
        (10.0, 0, 0),
        (25.0, 0, 0.6),
        (28.0, 0, -0.5),
        (137.2, 0.4, 0),
        (140.5, 0.8, 0),
        (170.0, 0.6, 0),
        (183.0, 0.6, -0.3),
        (199.0, 0, 0),
    ],
)
def test_the_pedals(time_s: float, brakes: float, steering: float) -> None:
    aircraft = _at(time_s)
    assert aircraft.brake_pedal_fraction == pytest.approx((brakes, brakes))
    assert aircraft.steering_pedal_fraction == pytest.approx(steering)


def test_the_tiller_and_the_steering_pedals_ask_for_the_same() -> None:
    """A panel without a tiller steers by the pedals: where both rest they agree."""
    tiller = [a for a in PILOT_ACTIONS if a.switch == "tiller"]
    rests = {25.0: 0.8, 28.5: 0.25, 40.0: 0.5, 183.0: 0.35, 187.0: 0.5}
    for time_s, position in rests.items():
        last = [a for a in tiller if a.time_s <= time_s][-1]
        assert last.position == position
        assert _at(time_s).steering_pedal_fraction == pytest.approx(2 * position - 1)


class _Old(Feed):
    """A feed whose data stays as it was at its start."""

    name = "old"

    def __init__(self) -> None:
        self.fresh = True
        self.commands: list[Commands] = []
        self.restarts: list[float] = []

    def read(self, now_s: float) -> FeedReading:
        return FeedReading(parked(3, 2), fresh=self.fresh, time_s=10.0, phase="taxi")

    def send(self, now_s: float, commands: Commands) -> None:
        self.commands.append(commands)

    def restart(self, now_s: float) -> None:
        self.restarts.append(now_s)


def test_old_data_counts_as_unknown() -> None:
    feed = TrustedFeed(_Old(), stale_after_s=2.0)
    young = feed.read(12.0)
    assert young.fresh
    assert young.aircraft == parked(3, 2)
    old = feed.read(12.01)
    assert not old.fresh
    assert old.aircraft == AircraftState()
    assert old.phase == "taxi"


def test_data_that_its_own_feed_does_not_trust_counts_as_unknown() -> None:
    inner = _Old()
    inner.fresh = False
    assert TrustedFeed(inner, 2.0).read(10.0).aircraft == AircraftState()


def test_commands_and_restarts_pass_through() -> None:
    inner = _Old()
    feed = TrustedFeed(inner, 2.0)
    feed.send(1.0, Commands(gear=GearPosition.UP))
    feed.restart(5.0)
    assert inner.commands == [Commands(gear=GearPosition.UP)]
    assert inner.restarts == [5.0]
    assert feed.name == "old"


class _Mover:
    def __init__(self) -> None:
        self.moves: list[tuple[float, str, str | float]] = []

    def move(self, now_s: float, switch: str, position: str | float) -> None:
        self.moves.append((now_s, switch, position))


def test_the_pilot_does_each_action_once_in_order_and_leaves_out_what_is_not_fitted() -> None:
    flight = DemoFlight(LEGS, engines=2)
    mover = _Mover()
    fitted = ("gear_handle", "horn_silence")
    pilot = DemoPilot(flight, mover, fitted)
    for tick in range(int(DURATION_S * 10) + 1):
        pilot.poll(tick / 10)
    expected = [(a.switch, a.position) for a in PILOT_ACTIONS if a.switch in fitted]
    assert [(switch, position) for _, switch, position in mover.moves] == expected
    pilot.poll(DURATION_S + 100.0)
    assert len(mover.moves) == len(expected)
    pilot.restart()
    pilot.poll(58.0)
    assert mover.moves[len(expected) :] == [(58.0, "gear_handle", "up")]
