"""The whole way: board, host and an unmodified process of the flight dynamics library, and back.

Three processes in real time, so nothing here judges how long anything takes: each step waits for
its own line.
"""

from __future__ import annotations

import re
import socket
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelbridge.config.feed_file import ModelName
from tests.feeds.flight_model.flown import fly, twin_jet
from tests.feeds.flight_process import COLUMNS, FlightProcess, FlightStart
from tests.own_process import REPOSITORY, Process

pytestmark = [
    pytest.mark.thorough,
    pytest.mark.skipif(sys.platform == "win32", reason="the simulated board is served on a pty"),
]
LIGHT = FlightStart("light_twin_jet", 2, height_ft=800.0, kias=150.0, pitch_deg=0.0)
HEAVY = FlightStart("heavy_freighter", 4, height_ft=1300.0, kias=160.0, pitch_deg=2.0)
FEED = """
kind: feed
format: 2
name: Flight process
source: link
stale_after_s: 3 # a busy machine holds the flight up
receive: { over: udp, listen_port: DATA_PORT }
message: { form: delimited, columns: [COLUMNS], skip: [<LABELS>] }
values:
  airspeed_kias: { at: vc }
  ground_speed_kt: { at: vg, unit: ft/s }
  altitude_ft: { at: height }
  throttles: { at: throttle }
  flap_deg: { at: flaps }
  strut_nose: { at: wow_nose, above: 0.5 }
  strut_left: { at: wow_left, above: 0.5 }
  strut_right: { at: wow_right, above: 0.5 }
  simulator_handle: { at: gear, words: { up: 0, down: 1 } }
  engines: { at: n2, above: 40 }
  left_outer_wheel_rpm: { at: wheel_left, scale: 10.04 } # a wheel of 0.29 m
  left_inner_wheel_rpm: { at: wheel_left, scale: 10.04 }
  right_inner_wheel_rpm: { at: wheel_right, scale: 10.04 }
  right_outer_wheel_rpm: { at: wheel_right, scale: 10.04 }
LOCKS
targets:
  aircraft:
    transport: { over: udp, port: COMMAND_PORT }
    written:
      gear: { words: { up: 0, down: 1 } }
      steering_deg: { scale: 0.01818 } # 1 is 55 degrees
    commands:
      all:
        text: "{wall_clock_s:.3f},{gear},{left_brake:.3f},{right_brake:.3f},{steering_deg:.3f}\\n"
        every_s: 0.5
        ends: { left_brake: 0, right_brake: 0, steering_deg: 0 }
"""
LANDING = (
    *("gear_down_commanded", "leg_unlocked", "leg_locked_down", "gear_locked_down"),
    "touched_down",
)
"""Events from the handle to the touchdown."""
LEGS = ("nose", "left", "right")


def free_port() -> int:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


def feed_text(data_port: int, command_port: int) -> str:
    locks = "\n".join(
        f"  {leg}_up_lock: {{ at: {leg}, below: 0.0001 }}\n"
        f"  {leg}_down_lock: {{ at: {leg}, above: 0.9999 }}"
        for leg in LEGS
    )
    text = FEED.replace("LOCKS", locks).replace("COLUMNS", ", ".join(COLUMNS))
    return text.replace("DATA_PORT", str(data_port)).replace("COMMAND_PORT", str(command_port))


def panel_files(folder: Path, feed: str) -> Path:
    """The demonstration panel, its aircraft with the simulator's legs, and its feed."""
    configs = REPOSITORY / "configs"
    aircraft = (configs / "aircraft/twin_jet.yaml").read_text("utf-8")
    assert "  legs: model\n" in aircraft
    (folder / "aircraft.yaml").write_text(aircraft.replace("  legs: model\n", "  legs: feed\n"))
    panel = (configs / "panels/demo_panel.yaml").read_text("utf-8")
    panel = panel.replace("../aircraft/twin_jet.yaml", "aircraft.yaml")
    panel = re.sub(r"  gear_power_amber: .*\n", "", panel)  # a lamp of our own legs
    (folder / "panel.yaml").write_text(panel.replace("../feeds/demo_flight.yaml", "feed.yaml"))
    (folder / "feed.yaml").write_text(feed)
    return folder / "panel.yaml"


class Cockpit:
    """A flight process, a board and a host."""

    def __init__(self, folder: Path, start: FlightStart, *, by_command: bool) -> None:
        ports = free_port(), free_port()
        panel = panel_files(folder, feed_text(*ports))
        self.model = start.model
        self.flight = FlightProcess(
            folder, start, data_port=ports[0], command_port=ports[1], by_command=by_command
        )
        link = str(folder / "board")
        self.board = Process("simboard", "--panel", str(panel), "--link", link, "--seed", "1")
        self.board.wait_for("port ")
        self.host = Process("run", str(panel), "--port", link, "--headless")
        self.host.wait_for("board_connected")
        self.board.wait_for("port opened")

    def lamps(self, lamp: str, brightness: int) -> None:
        """Wait for a lamp of each leg."""
        for leg in LEGS:
            self.board.wait_for(f"lamp {leg}_{lamp} {brightness}")

    def close(self) -> None:
        self.flight.kill()
        assert self.host.stop() == 0
        assert self.board.stop() == 0


@pytest.fixture(params=[(LIGHT, False), (HEAVY, True)], ids=["light", "heavy-by-its-command"])
def cockpit(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Cockpit]:
    start, by_command = request.param
    cockpit = Cockpit(tmp_path, start, by_command=by_command)
    yield cockpit
    cockpit.close()


def test_a_handle_moves_the_gear_of_that_aircraft_and_it_lands(cockpit: Cockpit) -> None:
    board, host, flight = cockpit.board, cockpit.host, cockpit.flight
    # It descends at idle with its gear on the way up, and the panel's handle is down: nothing is
    # commanded until they agree.
    flight.start()
    host.wait_for("feed_found")
    host.wait_for("gear_handle_disagreed")
    host.wait_for("horn_sounded")
    board.wait_for("horn intermittent")
    host.wait_for("gear_locked_up")
    board.order("gear_handle up")
    host.wait_for("gear_handle_agreed")
    cockpit.lamps("red", 0)

    # Killed: all is unknown. What is moved meanwhile is not commanded when it is back.
    flight.kill()
    host.wait_for("feed_lost")
    cockpit.lamps("red", 255)
    board.order("gear_handle down")
    host.wait_for("gear_handle_moved_down")
    flight.start()
    host.wait_for("feed_found")
    host.wait_for("gear_handle_disagreed")
    host.wait_for("gear_locked_up")
    cockpit.lamps("red", 0)
    board.order("gear_handle up")
    host.wait_for("gear_handle_agreed")
    before = len(host.lines)
    assert not [line for line in board.lines if line == "lamp nose_green 255"]

    # The handle lowers its gear: lamps follow where that is, squat switches the touchdown.
    board.order("gear_handle down")
    cockpit.lamps("red", 255)
    for leg in LEGS:
        board.wait_for(f"lamp {leg}_green 255")
        board.wait_for(f"lamp {leg}_red 0")
    board.wait_for("horn silent")
    host.wait_for("touched_down")
    assert events_of(host.lines[before:]) == in_process(cockpit.model)


def events_of(lines: list[str]) -> list[tuple[str, str]]:
    """Name and text of the events of a landing, as a host prints them."""
    words = [line[17:].split(maxsplit=1) for line in lines]
    return [(name, text.strip()) for name, text in words if name in LANDING]


def in_process(model: ModelName) -> list[tuple[str, str]]:
    """The same events of the flight in the program's own process."""
    events = fly(model, twin_jet(legs_by_feed=True)).events
    began = [one.name for one in events].index("gear_down_commanded")
    return [(one.name, one.text) for one in events[began:] if one.name in LANDING]
