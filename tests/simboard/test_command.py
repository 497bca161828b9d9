"""``panelbridge simboard`` as a process: its port, its orders, its end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import serial

from panelbridge.clock import LiveClock
from panelbridge.errors import PanelbridgeError, UsageError
from panelbridge.link.wire import Hello
from panelbridge.link.wire.frames import FrameParser, encode_frame
from panelbridge.simboard.serving import command
from tests.examples import few_of
from tests.simboard.host import Bench, Host, Plan, contact

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminals")

PANEL = Path(__file__).parents[2] / "configs" / "panels" / "two_boards.yaml"
PROGRAM = """
import sys
from pathlib import Path
from panelbridge.simboard.serving.command import serve
sys.exit(serve({arguments}))
"""


class Served:
    """A served board: what it prints, orders to it, and its port."""

    def __init__(self, arguments: str) -> None:
        self.clock = LiveClock()
        self.process = subprocess.Popen(
            [sys.executable, "-W", "error", "-c", PROGRAM.format(arguments=arguments)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        assert self.process.stdout is not None
        os.set_blocking(self.process.stdout.fileno(), False)
        self.text = ""

    def order(self, line: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(line.encode() + b"\n")
        self.process.stdin.flush()

    def until(self, condition: Callable[[], Any], within_s: float = 15.0) -> None:
        end_s = self.clock.now() + within_s
        while not condition():
            self.listen()
            late = f"not within {within_s} s (exit code {self.process.poll()}); it said:\n"
            assert self.clock.now() < end_s, late + self.text
            self.clock.sleep_until(self.clock.now() + 0.005)

    def says(self, line: str, times: int = 1) -> None:
        """Wait until it has printed this line so often."""
        self.until(lambda: self.text.splitlines().count(line) >= times)

    def listen(self) -> None:
        assert self.process.stdout is not None
        data = self.process.stdout.read()
        self.text += data.decode() if data else ""

    @property
    def ports(self) -> list[str]:
        """The ports that it has printed, in order."""
        return [
            line.removeprefix("port ") for line in self.text.splitlines() if "port /dev" in line
        ]

    def end(self) -> tuple[int, str]:
        """Wait for its end: (exit code, what it wrote to stderr)."""
        assert self.process.stderr is not None
        code = self.process.wait(timeout=15)
        self.listen()
        return code, self.process.stderr.read().decode()

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        for pipe in (self.process.stdin, self.process.stdout, self.process.stderr):
            assert pipe is not None
            pipe.close()


class PortBench(Bench):
    """The host's end of a served board."""

    def __init__(self, served: Served, path: str) -> None:
        self.served = served
        self.port = serial.Serial(path, 115_200, timeout=0, write_timeout=1, exclusive=True)

    def write(self, data: bytes) -> None:
        self.port.write(data)

    def read(self) -> bytes:
        return self.port.read(4096)

    def pass_time(self, seconds: float) -> None:
        self.served.clock.sleep_until(self.served.clock.now() + seconds)

    def now_s(self) -> float:
        return self.served.clock.now()

    def set_contact(self, pin_name: str, closed: bool) -> None:
        self.served.order(f"pin {pin_name} {'closed' if closed else 'open'}")

    def lamp(self, pin_name: str) -> int:
        raise NotImplementedError

    def sounding(self, pin_name: str) -> bool:
        raise NotImplementedError

    def chip_high(self, bit_name: str) -> bool:
        raise NotImplementedError

    def reset(self) -> None:
        self.served.order("reset")

    def is_dead(self) -> bool:
        try:
            self.port.read(self.port.in_waiting or 1)
        except OSError:  # SerialException is one
            return True
        return False

    def close(self) -> None:
        self.port.close()


Serve = Callable[..., Served]


@pytest.fixture
def serve() -> Iterator[Serve]:
    started: list[Served] = []

    def start(**arguments: Any) -> Served:
        text = ", ".join(
            f"{name}=Path({str(value)!r})" if isinstance(value, Path) else f"{name}={value!r}"
            for name, value in arguments.items()
        )
        started.append(Served(text))
        started[-1].until(lambda: started[-1].ports)
        return started[-1]

    yield start
    for served in started:
        served.close()


def test_a_bare_board_speaks_on_its_port_and_follows_orders(serve: Serve) -> None:
    served = serve(kind="uno")
    bench = PortBench(served, served.ports[0])
    host = Host(bench)
    served.says("port opened")
    plan = Plan((contact(0, 2), contact(1, 4)))
    host.set_up(plan)
    served.order("pin D4 closed")
    host.until(lambda: host.last_report().contacts == 0b10, within_s=10)
    served.order("nonsense")
    served.order("pin D77 closed")
    served.says("? 'nonsense' is not an order (help lists them)")
    served.says("? there is no contact pin D77")
    bench.close()
    served.says("port closed")
    served.order("quit")
    assert served.end() == (0, "")


def test_what_the_board_drives_is_printed_when_it_changes(serve: Serve) -> None:
    served = serve(kind="mega2560")
    bench = PortBench(served, served.ports[0])
    host = Host(bench)
    host.set_up()
    host.command(123, 1, 2)
    for line in ("lamp D5 10", "lamp D5 123", "lamp D7 255", "horn D8 continuous"):
        served.says(line)
    host.release()
    served.says("lamp D5 not driven")
    before = served.text.count("lamp D5")
    served.order("lamps")
    served.order("help")
    served.until(lambda: "unplug [SECONDS]" in served.text)
    assert served.text.count("lamp D5") == before
    bench.close()


def test_the_panels_switches_are_moved_by_their_names(serve: Serve) -> None:
    served = serve(panel=PANEL, name="gear_panel", seed=1)
    served.says("lamp nose_green 0")
    served.order("gear_handle up")

    def has_arrived() -> bool:
        served.order("switches")
        return "switch gear_handle up" in served.text

    served.until(has_arrived)
    served.order("horn_silence press")
    served.order("dimmer 0.25")
    served.order("switches")
    served.until(lambda: "switch horn_silence pressed" in served.text)
    served.until(lambda: "switch dimmer 0.25 (0 to 1)" in served.text)
    served.order("gear_handle sideways")
    served.until(lambda: "? gear_handle cannot be put to sideways" in served.text)
    served.order("break gear_handle contradictory")
    served.order("break gear_handle loudly")
    served.until(lambda: "? break what, and how?" in served.text)


def test_the_link_follows_the_port_and_goes_at_the_end(serve: Serve, tmp_path: Path) -> None:
    link = tmp_path / "gear_panel"
    link.symlink_to("/nowhere")  # left over from a run that was killed
    served = serve(kind="uno", link=link)
    assert os.readlink(link) == served.ports[0]
    bench = PortBench(served, str(link))
    served.says("port opened")
    served.order("unplug 0.3")
    served.says("unplugged")
    served.until(bench.is_dead)
    bench.close()
    served.until(lambda: len(served.ports) == 2)
    assert os.readlink(link) == served.ports[1]
    again = PortBench(served, str(link))
    assert Host(again).greet().protocol == 1
    again.close()
    served.process.send_signal(signal.SIGTERM)
    assert served.end() == (0, "")
    assert not link.is_symlink()


@pytest.mark.thorough
def test_a_link_is_taken_over_from_the_dead_and_never_from_the_living(
    serve: Serve, tmp_path: Path
) -> None:
    link = tmp_path / "board"
    first = serve(kind="uno", link=link)
    with pytest.raises(UsageError, match="another simulated board serves") as caught:
        command.serve(kind="uno", link=link)
    assert "give another --link" in caught.value.hint
    first.order("unplug")
    first.says("unplugged")
    with pytest.raises(UsageError, match="another simulated board serves"):  # it comes back
        command.serve(kind="uno", link=link)
    first.order("plug")
    first.until(lambda: len(first.ports) == 2)
    assert os.readlink(link) == first.ports[1]
    first.process.kill()
    first.process.wait()
    assert link.is_symlink()
    second = serve(kind="uno", link=link)
    assert os.readlink(link) == second.ports[0]
    bench = PortBench(second, str(link))
    assert Host(bench).greet().protocol == 1
    bench.close()
    second.order("quit")
    assert second.end() == (0, "")
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_place_of_the_owner_is_left_alone(tmp_path: Path) -> None:
    notes = tmp_path / "board.owner"
    notes.write_text("of the house")
    with pytest.raises(UsageError, match="not a file of a simulated board"):
        command.serve(kind="uno", link=tmp_path / "board")
    assert notes.read_text() == "of the house"
    assert list(tmp_path.iterdir()) == [notes]


@pytest.mark.parametrize("name", few_of(["SIGINT", "SIGTERM", "SIGHUP"]))
def test_signals_stop_it_cleanly(serve: Serve, name: str) -> None:
    served = serve(kind="uno")
    served.process.send_signal(getattr(signal, name))
    assert served.end() == (0, "")


def test_the_end_of_its_orders_does_not_stop_it(serve: Serve) -> None:
    served = serve(kind="uno")
    assert served.process.stdin is not None
    served.process.stdin.close()
    bench = PortBench(served, served.ports[0])
    assert Host(bench).greet().board_code == 1
    bench.close()
    assert served.process.poll() is None


def test_reset_on_open_and_faults(serve: Serve) -> None:
    served = serve(kind="uno", reset_on_open=True, seed=1)
    ids = []
    for _ in range(2):
        bench = PortBench(served, served.ports[0])
        ids.append(Host(bench).greet().boot_id)
        bench.close()
        served.says("port closed", len(ids))
    assert ids[1] == ids[0] + 1
    served.order("fault mute=1")
    served.order("fault")
    served.says("fault mute=1")
    bench = PortBench(served, served.ports[0])
    bench.port.timeout = 0.7
    assert bench.port.read(1) == b""
    served.order("fault mute=0")
    bench.port.timeout = 10
    data = bench.port.read(14)
    assert [Hello.unpack(message).board_code for message in FrameParser().feed(data)] == [1]
    bench.close()


def test_nothing_stale_waits_for_a_host_that_opens_late(serve: Serve) -> None:
    """While no host has the port open, what the board sends is lost, as on a real one."""
    served = serve(kind="uno")
    served.clock.sleep_until(served.clock.now() + 1.2)
    bench = PortBench(served, served.ports[0])
    bench.write(b"\0" + encode_frame(b"\x01\x01"))
    host = Host(bench)

    def heard() -> bool:
        host.listen()
        return bool(host.hellos())

    served.until(heard)
    assert len(host.hellos()) <= 2
    bench.close()


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        ({"kind": "toaster"}, "no board 'toaster'"),
        ({"panel": PANEL}, "several boards"),
        ({"panel": PANEL, "name": "attic"}, "no board 'attic'"),
        ({"faults": ["hum=1"]}, "no fault 'hum'"),
        ({"panel": Path("no/such.yaml")}, "such.yaml"),
    ],
)
def test_arguments_that_cannot_be(arguments: dict[str, Any], what: str) -> None:
    with pytest.raises(PanelbridgeError) as caught:
        command.serve(**arguments)
    assert what in str(caught.value)


def test_a_file_in_the_place_of_the_link_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "precious"
    file.write_text("mine")
    with pytest.raises(UsageError, match="not a symbolic link"):
        command.serve(kind="uno", link=file)
    assert file.read_text() == "mine"
    with pytest.raises(UsageError, match="cannot be made"):
        command.serve(kind="uno", link=tmp_path / "no" / "such")
