from __future__ import annotations

import re
import socket
import sys
from pathlib import Path
from shutil import copytree

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.commands import summary
from panelbridge.config.feed_file import FlightModelFile
from panelbridge.config.load import load_feed
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import ConfigError, FeedError, UsageError
from panelbridge.feeds.flight_model import library
from panelbridge.feeds.flight_model.flight_model_feed import FAILED, LONGEST_S, FlightModelFeed
from panelbridge.feeds.flight_model.library import FlightLibrary
from panelbridge.feeds.flight_model.phase_pilot import PhasePilot
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import AircraftState, Commands, GearPosition
from tests.feeds.flight_model.flown import SWITCHES, Hands, twin_jet

LEFT_RIGHT = (0.0, 0.0, 0.0, 0.0)


def feed_of(aircraft: AircraftParameters | None = None) -> FlightModelFeed:
    return FlightModelFeed(aircraft or twin_jet(), "light_twin_jet")


def without(group: str) -> AircraftParameters:
    """The twin jet without its ``brakes``, or without steering."""
    aircraft = twin_jet()
    if group == "brakes":
        return aircraft.model_copy(update={"brakes": None})
    steering = aircraft.steering.model_copy(update={"steering_leg": None})
    return aircraft.model_copy(update={"steering": steering})


def fly_to(feed: FlightModelFeed, to_s: float, commands: Commands, from_s: float = 0.0) -> None:
    """Read every 0.1 s with the same commands."""
    feed.send(from_s, commands)
    for tick in range(round(from_s * 10), round(to_s * 10) + 1):
        feed.read(tick / 10)


def test_it_begins_parked() -> None:
    reading = feed_of().read(100.0)
    assert reading.fresh
    assert reading.phase == "parked"
    aircraft = reading.aircraft
    assert aircraft.strut_compressed == (True, True, True)
    assert aircraft.engine_running == (False, False)
    assert aircraft.gear_handle is GearPosition.DOWN
    assert all(lock.is_down for lock in aircraft.leg_locks)
    assert aircraft.mass_kg == pytest.approx(12_600 * 0.45359237)


def test_the_panel_s_gear_command_moves_its_gear() -> None:
    feed = feed_of()
    fly_to(feed, 1.0, Commands(gear=None))
    assert feed.read(1.0).aircraft.gear_handle is GearPosition.DOWN
    fly_to(feed, 3.0, Commands(gear=GearPosition.UP), 1.0)
    moving = feed.read(3.0).aircraft
    assert moving.gear_handle is GearPosition.UP
    assert not any(lock.is_down or lock.is_up for lock in moving.leg_locks)
    fly_to(feed, 6.5, Commands(gear=GearPosition.UP), 3.0)
    assert all(lock.is_up for lock in feed.read(6.5).aircraft.leg_locks)


@pytest.mark.parametrize(("fraction", "moves"), [(0.0, True), (0.6, False)])
def test_the_panel_s_brakes_hold_it(fraction: float, moves: bool) -> None:
    feed = feed_of()
    fly_to(feed, 32.0, Commands(brake_fraction=(fraction,) * 4))
    reading = feed.read(32.0)
    assert reading.phase == "taxi"
    assert reading.aircraft.ground_speed_kt is not None
    assert (reading.aircraft.ground_speed_kt > 5.0) is moves


@pytest.mark.parametrize(("radius_m", "rpm_per_kt"), [(0.29, 16.94), (0.58, 8.47), (None, 16.94)])
def test_wheels_turn_as_large_as_the_aircraft_file_says(
    radius_m: float | None, rpm_per_kt: float
) -> None:
    """1 kt is 0.51444 m/s."""
    aircraft = twin_jet()
    assert aircraft.antiskid is not None
    antiskid = aircraft.antiskid.model_copy(update={"wheel_radius_m": radius_m})
    feed = feed_of(aircraft.model_copy(update={"antiskid": antiskid}))
    fly_to(feed, 32.0, Commands(brake_fraction=LEFT_RIGHT))
    found = feed.read(32.0).aircraft
    assert found.ground_speed_kt is not None
    assert found.ground_speed_kt > 5.0
    assert found.wheel_speed_rpm == pytest.approx(
        (rpm_per_kt * found.ground_speed_kt,) * 4, rel=1e-2
    )


def test_one_side_s_brakes_turn_it() -> None:
    """As the aircraft file lists its wheels: two on the left, two on the right."""
    heading = {}
    for side, brakes in (("left", (0.1, 0.1, 0.0, 0.0)), ("right", (0.0, 0.0, 0.1, 0.1))):
        feed = feed_of()
        fly_to(feed, 35.0, Commands(brake_fraction=brakes))
        heading[side] = feed._library.motion().heading_deg
    assert heading["left"] < -1.0
    assert heading["right"] > 1.0


@pytest.mark.parametrize(("steering_deg", "way"), [(20.0, 1), (-20.0, -1), (0.0, 0)])
def test_the_panel_s_steering_turns_it(steering_deg: float, way: int) -> None:
    feed = feed_of()
    fly_to(feed, 30.0, Commands(steering_deg=steering_deg, brake_fraction=LEFT_RIGHT))
    heading_deg = feed._library.motion().heading_deg
    assert heading_deg == pytest.approx(0.0, abs=1.0) if way == 0 else heading_deg * way > 5.0


def test_the_autopilot_steers_and_brakes_what_the_panel_does_not() -> None:
    """It turns towards the runway's centre line, which is to the right of the stand."""
    feed = feed_of(without("steering"))
    fly_to(feed, 30.0, Commands(brake_fraction=LEFT_RIGHT))
    assert feed._library.motion().heading_deg > 5.0
    feed = feed_of(without("brakes"))
    fly_to(feed, 19.0, Commands())
    assert feed._library.value("fcs/left-brake-cmd-norm") == 0.3


def test_a_model_that_gives_no_number_is_refused_until_it_flies_again() -> None:
    feed = feed_of()
    fly_to(feed, 1.0, Commands())
    feed._library.set("fcs/elevator-cmd-norm", float("nan"))
    feed._library.step()
    for now_s in (1.1, 1.1, 5.0):
        reading = feed.read(now_s)
        assert not reading.fresh
        assert reading.aircraft == AircraftState()
        assert reading.phase == FAILED
    feed.restart(6.0)
    assert feed.read(6.0).fresh


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_one_value_that_is_no_number_spoils_the_reading(value: float) -> None:
    feed = feed_of()
    feed.read(0.0)
    feed._library.set("fcs/pitch-trim-cmd-norm", value)  # nothing but the reading looks at it
    assert not feed.read(0.02).fresh


def test_a_computer_that_slept_flies_no_more_than_a_minute() -> None:
    feed = feed_of()
    feed.read(0.0)
    feed.read(100_000.0)
    assert feed._library.motion().time_s == pytest.approx(LONGEST_S)
    feed.read(100_001.0)
    assert feed._library.motion().time_s == pytest.approx(LONGEST_S + 1.0)


def test_a_second_reading_at_the_same_time_flies_nothing() -> None:
    feed = feed_of()
    feed.read(0.0)
    assert feed.read(0.5).aircraft is feed.read(0.5).aircraft


def test_it_flies_the_same_however_often_it_is_read() -> None:
    """Steps of its own: ticks of 20 ms, irregular ones and a single long one give one flight."""
    commands, found = Commands(brake_fraction=LEFT_RIGHT, steering_deg=3.0), []
    for times in (
        [tick / 50 for tick in range(1501)],
        [0.0, 0.013, 0.5, 7.77, 20.0, 20.001, 30.0],
        [0.0, 30.0],
    ):
        feed = feed_of()
        feed.send(0.0, commands)
        for now_s in times:
            reading = feed.read(now_s)
        found.append(reading)
    assert found[0] == found[1] == found[2]
    assert found[0].aircraft.ground_speed_kt == pytest.approx(9.0, abs=3.0)


@pytest.mark.parametrize("repeat", [False, True])
def test_it_flies_again_when_the_file_says_so(
    repeat: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    feed = FlightModelFeed(twin_jet(), "light_twin_jet", repeat=repeat)
    fly_to(feed, 22.0, Commands(gear=GearPosition.UP))
    monkeypatch.setattr(feed._autopilot, "finished", True)
    last = feed.read(22.1)
    assert (last.finished, last.phase) == (True, "taxi")
    after = feed.read(22.2)
    if repeat:
        assert (after.finished, after.phase) == (False, "parked")
        assert after.aircraft.gear_handle is GearPosition.DOWN
    else:
        assert (after.finished, after.phase) == (True, "taxi")


def test_its_pilot_starts_again_with_it() -> None:
    hands = Hands()
    feed = feed_of()
    pilot = PhasePilot(feed, hands, SWITCHES)
    for now_s in (0.0, 10.0, 19.5):
        feed.read(now_s)
        pilot.poll(now_s)
    assert hands.switches.get("antiskid") is True
    hands.move(20.0, "antiskid", "off")
    pilot.poll(20.0)
    assert hands.switches.get("antiskid") is False  # an action is carried out once
    feed.restart(20.0)
    pilot.restart()
    for now_s in (20.0, 36.0):
        feed.read(now_s)
        pilot.poll(now_s)
    assert hands.switches.get("antiskid") is True


def test_it_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    fly_to(feed_of(), 2.0, Commands(gear=GearPosition.UP))
    assert capfd.readouterr() == ("", "")


def sockets() -> set[str]:
    """The sockets that this process has open."""
    links = [link for link in Path("/proc/self/fd").iterdir() if link.is_symlink()]
    return {str(link.readlink()) for link in links if "socket:" in str(link.readlink())}


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="needs Linux' list of open files")
@pytest.mark.parametrize("asks", [False, True])
def test_it_opens_no_port_not_even_when_the_model_asks_for_one(tmp_path: Path, asks: bool) -> None:
    models = copytree(library.MODELS, tmp_path / "models")
    file = models / "aircraft/light_twin_jet/light_twin_jet.xml"
    if asks:
        with socket.create_server(("127.0.0.1", 0)) as free:
            asked = f'<input port="{free.getsockname()[1]}"/>\n</fdm_config>'
        file.write_text(file.read_text("utf-8").replace("</fdm_config>", asked), "utf-8")
    before = sockets()
    feed = FlightModelFeed(twin_jet(), "light_twin_jet", models=models)
    fly_to(feed, 1.0, Commands())
    assert sockets() == before


def test_no_model_asks_for_an_output() -> None:
    """The library would open a socket for it, whatever it is told."""
    files = [*library.MODELS.rglob("*.xml")]
    assert len(files) >= 6
    assert not [file for file in files if re.search("<(input|output) ", file.read_text("utf-8"))]


def test_a_model_that_is_not_there_is_an_error() -> None:
    with pytest.raises(FeedError, match="the flight model 'no_such' cannot be loaded"):
        FlightLibrary("no_such", engines=2, wheel_height_ft=4.0)


def test_a_model_that_is_damaged_is_an_error(tmp_path: Path) -> None:
    models = copytree(library.MODELS, tmp_path / "models")
    file = models / "aircraft/light_twin_jet/light_twin_jet.xml"
    file.write_text(file.read_text("utf-8").replace("</metrics>", ""), "utf-8")
    with pytest.raises(FeedError, match="the flight model 'light_twin_jet' cannot be loaded"):
        FlightModelFeed(twin_jet(), "light_twin_jet", models=models)


@pytest.fixture
def no_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "jsbsim", None)


@pytest.mark.usefixtures("no_library")
def test_without_the_extra_it_says_how_to_install_it() -> None:
    with pytest.raises(UsageError, match=r"needs the extra 'fdm'.*panelbridge\[fdm\]"):
        feed_of()


@pytest.mark.usefixtures("no_library")
def test_without_the_extra_the_demonstration_ends_with_one_line(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run_app(["demo", "--flight-model", "--headless"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("panelbridge: this needs the extra 'fdm', which is not installed: ")
    assert err.count("\n") == 1


def test_a_feed_file_names_the_model(tmp_path: Path) -> None:
    path = tmp_path / "feed.yaml"
    path.write_text(
        "kind: feed\nformat: 2\nname: Ours\nsource: flight_model\nmodel: heavy_freighter\n", "utf-8"
    )
    feed = load_feed(path)
    assert isinstance(feed, FlightModelFile)
    assert (feed.model, feed.repeat) == ("heavy_freighter", False)
    assert summary(feed) == "good feed file 'Ours': the flight model 'heavy_freighter'"


def test_a_misspelt_model_is_an_error(tmp_path: Path) -> None:
    path = tmp_path / "feed.yaml"
    path.write_text(
        "kind: feed\nformat: 2\nname: Ours\nsource: flight_model\nmodel: heavy_freigther\n", "utf-8"
    )
    with pytest.raises(ConfigError) as caught:
        load_feed(path)
    assert "heavy_freighter" in str(caught.value)
    assert str(caught.value).startswith(f"{path}:5:8: ")


def test_the_shipped_feed_file_flies() -> None:
    feed = load_feed(shipped_config("feeds/flight_model.yaml"))
    assert isinstance(feed, FlightModelFile)
