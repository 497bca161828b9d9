"""One cockpit on two computers: two hosts and a real broker, which dies and comes back.

A simulator that is not our code (datagrams out, commands through the broker) talks to a host that
publishes its state; another host has the panel. Real time: each step waits for its own line.
"""

from __future__ import annotations

import socket
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.feeds.transports.broker import Broker
from tests.feeds.transports.running import free_port
from tests.own_process import PATIENCE_S, Process

pytestmark = [
    pytest.mark.thorough,
    pytest.mark.skipif(sys.platform == "win32", reason="the simulated board is served on a pty"),
]
PERIOD_S = 0.05
VALUES = {
    "airspeed_kias": "speed",
    "altitude_ft": "height",
    "throttle_1": "lever",
    "throttle_2": "lever",
    "flap_deg": "flaps",
}
"""Values that go through as they are, and where they stand in the simulator's message."""
STATE_HOST = """
kind: feed
format: 2
name: Simulator
source: link
stale_after_s: 0.5
receive: { over: udp, listen_port: DATA_PORT }
message: { form: names }
values:
  simulator_handle: { at: handle, words: { up: 0, down: 1 } }
  struts: { at: ground, above: 0.5 }
  engines: { at: ground, below: 2 }
VALUES
targets:
  cockpit:
    transport: { over: mqtt, port: BROKER_PORT, state_topics: [cockpit/state] }
    needs_data: false
    commands:
      state:
        topic: cockpit/state
        json_text: { handle: "{simulator_handle}", strut: "{strut_left}", FIELDS }
        every_s: 0.1
"""
PANEL_HOST = """
kind: feed
format: 2
name: Cockpit
source: link
stale_after_s: 0.5
receive: { over: mqtt, port: BROKER_PORT, topics: [cockpit/state], status_topic: cockpit/panel }
message: { form: json }
values:
  simulator_handle: { at: [handle], words: { up: up, down: down } }
  struts: { at: [strut], words: { compressed: compressed, extended: extended } }
  engines: { at: [throttle_1], above: -1 }
VALUES
targets:
  aircraft:
    transport: { over: mqtt, port: BROKER_PORT }
    commands:
      gear: { words: { up: "up", down: "down" }, topic: cockpit/gear }
"""


class Simulator:
    """Sends its state in datagrams, takes the gear command through the broker.

    Attributes:
        commands: what came, in its order.
        states: what the panel's host says of itself.
    """

    def __init__(self, data_port: int, broker_port: int) -> None:
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion

        self.commands: list[str] = []
        self.states: list[str] = []
        self._changed = threading.Condition()
        self._address = ("127.0.0.1", data_port)
        self._handle = 1
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._send)
        self._client = Client(CallbackAPIVersion.VERSION2)
        self._client.reconnect_delay_set(1, 1)
        self._client.on_connect = self._subscribe
        self._client.on_message = self._take
        self._client.connect_async("127.0.0.1", broker_port)

    def start(self) -> None:
        self._thread.start()
        self._client.loop_start()

    def close(self) -> None:
        self._ended.set()
        self._thread.join()
        self._client.disconnect()
        self._client.loop_stop()

    def wait_until(self, is_so: Callable[[], bool]) -> None:
        with self._changed:
            assert self._changed.wait_for(is_so, PATIENCE_S), (self.commands, self.states)

    def _send(self) -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            while not self._ended.wait(PERIOD_S):
                text = (
                    f"speed=150\nheight=3000\nlever=0.7\nflaps=0\nground=0\nhandle={self._handle}"
                )
                out.sendto(text.encode(), self._address)

    def _subscribe(self, client: Any, *_: Any) -> None:
        client.subscribe("cockpit/gear", 2)
        client.subscribe("cockpit/panel", 2)

    def _take(self, client: Any, userdata: Any, message: Any) -> None:
        text = message.payload.decode()
        with self._changed:
            if message.topic == "cockpit/panel":
                self.states.append(text)
            else:
                self.commands.append(text)
                self._handle = int(text == "down")
            self._changed.notify_all()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    one = Broker(tmp_path)
    one.start()
    yield one
    one.kill()


def written(folder: Path, name: str, text: str, data_port: int, broker_port: int) -> Path:
    """A panel file and its feed file."""
    places = "name" if "over: udp" in text else "topic"
    values = "\n".join(
        f"  {value}: {{ at: {at if places == 'name' else f'[{value}]'} }}"
        for value, at in VALUES.items()
    )
    text = text.replace("VALUES", values).replace("DATA_PORT", str(data_port))
    text = text.replace("FIELDS", ", ".join(f'{value}: "{{{value}}}"' for value in VALUES))
    path = folder / f"{name}_feed.yaml"
    path.write_text(text.replace("BROKER_PORT", str(broker_port)), "utf-8")
    return path


def test_a_cockpit_on_two_computers_outlives_its_broker(tmp_path: Path, broker: Broker) -> None:
    data_port, panel = free_port(), "configs/panels/demo_panel.yaml"
    feeds = [
        written(tmp_path, name, text, data_port, broker.port)
        for name, text in (("state", STATE_HOST), ("panel", PANEL_HOST))
    ]
    link = str(tmp_path / "board")
    simulator = Simulator(data_port, broker.port)
    simulator.start()
    board = Process("simboard", "--panel", panel, "--link", link, "--seed", "1")
    board.wait_for("port ")
    state_host = Process("run", panel, "--simulate", "--headless", "--feed", str(feeds[0]))
    host = Process("run", panel, "--port", link, "--headless", "--feed", str(feeds[1]))
    try:
        state_host.wait_for("feed_found")
        host.wait_for_all("feed_found", "board_connected")  # panel and simulator agree
        board.wait_for("lamp nose_green 255")
        simulator.wait_until(lambda: simulator.states == ["online"])
        board.order("aux_pump on")
        board.order("gear_handle up")
        simulator.wait_until(lambda: simulator.commands == ["up"])
        host.wait_for("gear_locked_up")

        broker.kill()
        host.wait_for("feed_lost")
        board.order("gear_handle down")
        host.wait_for("gear_handle_moved_down")
        broker.start()
        host.wait_for("feed_found")
        host.wait_for("gear_handle_disagreed")
        simulator.wait_until(lambda: simulator.states[-1] == "online" and len(simulator.states) > 1)
        assert simulator.commands == ["up"]
        board.order("gear_handle up")
        host.wait_for("gear_handle_agreed")
        board.order("gear_handle down")
        simulator.wait_until(lambda: len(simulator.commands) > 1)
        host.wait_for("gear_locked_down")
        assert simulator.commands == ["up", "down"]

        host.kill()
        simulator.wait_until(lambda: simulator.states[-1] == "offline")
        assert simulator.commands == ["up", "down"]
    finally:
        for process in (state_host, host, board):
            if process.is_running:
                process.stop()
        simulator.close()
