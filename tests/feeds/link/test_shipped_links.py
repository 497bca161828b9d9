"""Each shipped link against a sender that is not ours: perl, jq and the tools of a broker."""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from panelbridge.clock import LiveClock
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.load import load_feed
from panelbridge.config.shipped import shipped_config
from panelbridge.feeds.link.link_feed import LinkFeed
from panelbridge.feeds.link.make import make_link
from panelbridge.feeds.transports.make import make_transport
from panelbridge.signals import AircraftState, Commands, GearPosition
from tests.feeds.link.fakes import TWIN_JET
from tests.feeds.transports.broker import Broker, require_tool
from tests.feeds.transports.running import LONGEST_S, free_port

Ports = dict[str, int]


class LiveLink:
    """A shipped link on free ports of this computer."""

    def __init__(self, folder: Path, name: str, ports: Ports) -> None:
        text = shipped_config(f"feeds/{name}.yaml").read_text("utf-8")
        for before, after in ports.items():
            assert before in text
            text = text.replace(before, str(after))
        path = folder / "feed.yaml"
        path.write_text(text, "utf-8")
        file = load_feed(path, TWIN_JET)
        assert isinstance(file, LinkFeedFile)
        self.clock = LiveClock()
        self.feed: LinkFeed = make_link(
            file, TWIN_JET, lambda keys: make_transport(keys, lambda: None, folder)
        )
        self.feed.open(0.0)

    def until(self, holds: Callable[[AircraftState], bool], push: Callable[[], None]) -> None:
        """Poll until the state is so; ``push`` has the sender send again."""
        end_s = self.clock.now() + LONGEST_S
        while True:
            now_s = self.clock.now()
            self.feed.poll(now_s)
            if holds(self.feed.read(now_s).aircraft):
                return
            assert now_s < end_s, (self.feed.read(now_s), self.feed.health())
            push()
            self.clock.sleep_until(now_s + 0.02)

    def command(self, commands: Commands) -> None:
        self.feed.send(self.clock.now(), commands)


@contextmanager
def live(folder: Path, name: str, ports: Ports) -> Iterator[LiveLink]:
    link = LiveLink(folder, name, ports)
    try:
        yield link
    finally:
        link.feed.close(link.clock.now())


@pytest.fixture
def taker() -> Iterator[socket.socket]:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        one.bind(("127.0.0.1", 0))
        one.settimeout(LONGEST_S)
        yield one


def by_perl(code: str, port: int) -> Callable[[], None]:
    """Send one datagram whose content perl makes."""
    perl = require_tool(shutil.which("perl"), "perl")
    script = (
        "use IO::Socket::INET; binmode(STDOUT); my $s = IO::Socket::INET->new("
        f"Proto => 'udp', PeerAddr => '127.0.0.1', PeerPort => {port}); $s->send({code});"
    )
    return lambda: void(subprocess.run([perl, "-e", script], check=True))


def void(_: object) -> None:
    pass


DOWN, UP = GearPosition.DOWN, GearPosition.UP
COMMANDS = Commands(gear=UP, brake_fraction=(0.5, 0.5, 0.25, 0.25), steering_deg=90.0)


def test_text_in_columns(tmp_path: Path, taker: socket.socket) -> None:
    port = free_port(socket.SOCK_DGRAM)
    line = "12.50,141.2,238.6,2150,0.62,91,1,0,0,1,1"
    with live(tmp_path, "link_text", {"45139": port, "45138": taker.getsockname()[1]}) as link:
        link.until(lambda state: state.airspeed_kias == 141.2, by_perl(f'"{line}\\n"', port))
        state = link.feed.read(link.clock.now()).aircraft
        assert state.ground_speed_kt == pytest.approx(238.6 * 0.3048 * 3600 / 1852)
        assert state.throttle_fraction == (0.62, 0.62)
        assert state.flap_deg == 10.0
        assert state.strut_compressed == (False, False, True)
        assert state.engine_running == (True, True)
        assert state.gear_handle is DOWN
        link.command(COMMANDS)
        assert taker.recv(100) == b"gear 0\n"


def test_json(tmp_path: Path, taker: socket.socket) -> None:
    jq = require_tool(shutil.which("jq"), "jq")
    port = free_port(socket.SOCK_DGRAM)
    program = (
        "{air: {ias: 141.2, alt: 2150, flap: 10}, engines: [{lever: 62, runs: true}, {lever: 60}],"
        ' gear: {handle: "DOWN", wheels: [0.0, 0.1, 0.1]}, paused: false}'
    )

    def push() -> None:
        made = subprocess.run([jq, "-n", "-c", program], check=True, capture_output=True)
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            out.sendto(made.stdout, ("127.0.0.1", port))

    with live(tmp_path, "link_json", {"45139": port, "45138": taker.getsockname()[1]}) as link:
        link.until(lambda state: state.airspeed_kias == 141.2, push)
        state = link.feed.read(link.clock.now()).aircraft
        assert state.throttle_fraction == (0.62, 0.6)
        assert state.engine_running == (True, None)
        assert state.strut_compressed == (False, True, True)
        assert state.paused is False
        link.command(COMMANDS)
        assert json.loads(taker.recv(1000)) == {"set": "gear_handle", "to": "UP"}
        controls = json.loads(taker.recv(1000))
        assert controls["brakes"] == [0.5, 0.25]
        assert controls["steering_rad"] == pytest.approx(1.5707963)


def test_binary(tmp_path: Path, taker: socket.socket) -> None:
    port = free_port(socket.SOCK_DGRAM)
    code = 'pack("a4 f< d< S<2 C3 C C x3 C x3", "STAT", 72.5, 655.0, 65535, 0, 1, 1, 0, 1, 2, 1)'
    with live(tmp_path, "link_binary", {"45139": port, "45138": taker.getsockname()[1]}) as link:
        link.until(lambda state: state.airspeed_kias is not None, by_perl(code, port))
        state = link.feed.read(link.clock.now()).aircraft
        assert state.airspeed_kias == pytest.approx(72.5 * 3600 / 1852)
        assert state.altitude_ft == pytest.approx(655.0 / 0.3048)
        assert state.throttle_fraction == pytest.approx((1.0, 0.0), abs=1e-6)
        assert state.strut_compressed == (True, True, False)
        assert state.engine_running == (True, True)
        assert state.flap_deg == 20.0
        assert state.gear_handle is DOWN
        link.command(COMMANDS)
        assert taker.recv(100) == b"CMND\x00\x32\x19\x00"
        link.feed.close(link.clock.now())
        assert taker.recv(100) == b"CMND\x00\x00\x00\x00"


def test_mqtt(tmp_path: Path) -> None:
    publish = require_tool(shutil.which("mosquitto_pub"), "mosquitto-clients")
    subscribe = require_tool(shutil.which("mosquitto_sub"), "mosquitto-clients")
    broker = Broker(tmp_path)
    broker.start()
    to_broker = ["-h", "127.0.0.1", "-p", str(broker.port)]
    try:
        values = {"airspeed_kt": "141.2", "throttle_percent": "50", "on_ground": "1"}
        values |= {"gear_lever": "down", "engines": "running"}

        def push() -> None:
            for topic, value in values.items():
                subprocess.run([publish, *to_broker, "-t", f"sim/{topic}", "-m", value], check=True)

        def has_them_all(state: AircraftState) -> bool:
            numbers = state.airspeed_kias == 141.2 and state.throttle_fraction == (0.5, 0.5)
            on_ground = state.strut_compressed == (True, True, True)
            return numbers and on_ground and state.engine_running == (True, True)

        with live(tmp_path, "link_mqtt", {"1883": broker.port}) as link:
            # A subscription may begin amid a push: the values need not all come with the first.
            link.until(has_them_all, push)
            command = [subscribe, *to_broker, "-t", "panel/#", "-v", "-C", "2", "-R"]
            with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as sub:
                # A subscription takes its time, and nothing is kept: change it until it is heard.
                places = iter(range(10_000))

                def change() -> None:
                    push()
                    up = next(places) % 2
                    link.command(Commands(gear=UP if up else DOWN))

                link.until(lambda state: sub.poll() is not None, change)
                assert sub.stdout is not None
                assert {*sub.stdout.read().split("\n")} <= {"panel/gear up", "panel/gear down", ""}
    finally:
        broker.kill()


def test_names_and_values(tmp_path: Path) -> None:
    """No such sender is at hand that is not ours: a stand-in that answers line by line."""
    answers = {"airspeed": "72.5", "altitude": "655", "throttle": "50", "engines": "on"}
    answers |= {"flaps": "10", "wheels": "in_air", "gear": "1"}
    taken: list[str] = []
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def serve() -> None:
            peer, _ = listener.accept()
            with peer, peer.makefile("r", newline="\n") as lines:
                peer.sendall(b"welcome\n> ")
                for line in lines:
                    word, name, *value = line.split()
                    if word == "set":
                        taken.append(line.strip())
                        answers[name] = value[0]
                    answer = "done" if word == "set" else f"{name} = {answers[name]}"
                    peer.sendall(f"{answer}\n> ".encode())

        server = threading.Thread(target=serve)
        server.start()
        with live(tmp_path, "link_names", {"45137": listener.getsockname()[1]}) as link:
            link.until(lambda state: state.gear_handle is DOWN, lambda: None)
            state = link.feed.read(link.clock.now()).aircraft
            assert state.airspeed_kias == pytest.approx(72.5 * 3600 / 1852)
            assert state.altitude_ft == pytest.approx(655.0 / 0.3048)
            assert state.strut_compressed == (False, False, False)
            link.command(Commands(gear=DOWN))
            link.command(Commands(gear=UP))
            link.until(lambda state: state.gear_handle is UP, lambda: None)
            assert taken == ["set gear 0"]  # down is where it stood
            assert link.feed.health().targets[0].refused == {}
        server.join(LONGEST_S)
