"""The port ``simboard://NAME`` as pyserial's users see it, and the cable behind it."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import threading
from collections.abc import Iterator

import pytest
import serial

from panelbridge.clock import LiveClock, VirtualClock
from panelbridge.errors import LogicError, PortBusy, PortMissing
from panelbridge.link.ports import open_port
from panelbridge.link.wire import Hello
from panelbridge.link.wire.frames import FrameParser, encode_frame
from panelbridge.simboard import protocol_simboard, registry
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.line_faults import LineFaults
from panelbridge.simboard.registry import RegisteredBoard

REQUEST = encode_frame(b"\x01\x01")


@pytest.fixture
def clock() -> VirtualClock:
    return VirtualClock()


@pytest.fixture
def entry(clock: VirtualClock) -> Iterator[RegisteredBoard]:
    yield registry.register("bench", SimBoard("uno"), clock)
    registry.unregister("bench")


@pytest.fixture
def port(entry: RegisteredBoard) -> Iterator[protocol_simboard.Serial]:
    opened = serial.serial_for_url(entry.url, timeout=0)
    assert isinstance(opened, protocol_simboard.Serial)  # pyserial has found the handler
    yield opened
    opened.close()


def boot_ids(data: bytes) -> list[int]:
    return [Hello.unpack(message).boot_id for message in FrameParser().feed(data)]


@pytest.mark.usefixtures("entry")
def test_an_unknown_name_is_a_missing_port_and_the_known_ones_are_told() -> None:
    with pytest.raises(serial.SerialException, match=r"'attic' \(there are: bench\)") as caught:
        serial.serial_for_url("simboard://attic")
    assert caught.value.errno == errno.ENOENT
    with pytest.raises(PortMissing):
        open_port("simboard://attic", 250_000)


def test_a_port_can_be_open_once_at_a_time(entry: RegisteredBoard) -> None:
    first = serial.serial_for_url(entry.url)
    with pytest.raises(serial.SerialException) as caught:
        serial.serial_for_url(entry.url)
    assert caught.value.errno == errno.EBUSY
    with pytest.raises(PortBusy):
        open_port(entry.url, 250_000)
    with pytest.raises(serial.SerialException, match="already open"):
        first.open()
    first.close()
    first.close()  # a second time is nothing
    serial.serial_for_url(entry.url.upper().replace("SIMBOARD", "simboard")).close()


def test_a_closed_port_cannot_be_used_and_can_be_opened_again(
    port: protocol_simboard.Serial,
) -> None:
    port.close()
    for use in (lambda: port.in_waiting, lambda: port.read(1), lambda: port.write(b"x")):
        with pytest.raises(serial.PortNotOpenError):
            use()
    port.open()
    assert port.in_waiting == 0 or port.read(port.in_waiting)


def test_reading_waits_in_virtual_time_for_its_time_out(
    entry: RegisteredBoard, clock: VirtualClock
) -> None:
    port = serial.serial_for_url(entry.url, timeout=0.3)
    port.read(port.in_waiting)
    assert port.read(5) == b""
    assert clock.now() == pytest.approx(0.3)
    data = port.read(1000)  # until 0.6: the hello of 0.5 s is in it
    assert clock.now() == pytest.approx(0.6)
    assert boot_ids(data) == [1]
    port.close()


def test_reading_without_a_time_out_waits_until_all_is_there(
    entry: RegisteredBoard, clock: VirtualClock
) -> None:
    port = serial.serial_for_url(entry.url, timeout=None)
    port.read(port.in_waiting)
    assert len(port.read(14)) == 14
    assert clock.now() == pytest.approx(0.5)
    port.close()


def test_reading_takes_no_more_than_asked(port: protocol_simboard.Serial) -> None:
    port.write(REQUEST)
    waiting = port.in_waiting
    assert waiting > 4
    data = port.read(3)
    assert len(data) == 3
    assert port.in_waiting == waiting - 3
    port.reset_input_buffer()
    assert port.in_waiting == 0


def test_another_thread_can_end_a_read() -> None:
    entry = registry.register("live", SimBoard("uno"), LiveClock())
    port = serial.serial_for_url(entry.url, timeout=None)
    got: list[bytes] = []
    reader = threading.Thread(
        target=lambda: got.append(port.read(10_000)), name="panelbridge test reader"
    )
    reader.start()
    port.cancel_read()
    reader.join(timeout=10)
    assert not reader.is_alive()
    port.close()
    registry.unregister("live")


def test_reset_on_open(clock: VirtualClock) -> None:
    registry.register("fresh", SimBoard("uno", boot_id=7), clock, reset_on_open=True)
    for boot_id in (8, 9):
        port = serial.serial_for_url("simboard://fresh", timeout=0)
        assert boot_ids(port.read(port.in_waiting))[-1] == boot_id
        port.close()
    registry.unregister("fresh")


def test_what_was_sent_while_the_port_was_closed_is_lost(
    entry: RegisteredBoard, port: protocol_simboard.Serial
) -> None:
    port.write(REQUEST)
    port.close()
    port.open()
    assert port.in_waiting == 0
    assert entry.in_use


# -- the cable ------------------------------------------------------------------------------------


def test_an_unplugged_port_is_dead_until_it_is_opened_again(
    entry: RegisteredBoard, port: protocol_simboard.Serial, clock: VirtualClock
) -> None:
    port.read(port.in_waiting)
    entry.cable.unplug(clock.now(), 2.0)
    for use in (lambda: port.in_waiting, lambda: port.read(1), lambda: port.write(b"x")):
        with pytest.raises(serial.SerialException, match="unplugged"):
            use()
    with pytest.raises(serial.SerialException, match="unplugged"):
        serial.serial_for_url(entry.url)
    clock.sleep_until(2.5)
    with pytest.raises(serial.SerialException, match="unplugged"):
        port.read(1)  # the old handle stays dead, as that of a real port
    port.close()
    port.open()
    port.write(REQUEST)
    assert boot_ids(port.read(port.in_waiting))[-1] == 2  # it had no power


def test_a_plug_that_was_out_between_two_looks_is_seen(
    entry: RegisteredBoard, port: protocol_simboard.Serial, clock: VirtualClock
) -> None:
    entry.cable.unplug(clock.now(), 0.1)
    clock.advance(1.0)
    with pytest.raises(serial.SerialException, match="unplugged"):
        port.read(1)


def test_reading_ends_when_the_plug_is_pulled(clock: VirtualClock) -> None:
    entry = registry.register("bench", SimBoard("uno"), clock)
    port = serial.serial_for_url(entry.url, timeout=None)
    real_sleep = clock.sleep_until

    def pull_after_a_while(due_s: float) -> None:
        real_sleep(due_s)
        if due_s > 3.0 and entry.cable.plugged:
            entry.cable.unplug(due_s)

    clock.sleep_until = pull_after_a_while  # type: ignore[method-assign]
    with pytest.raises(serial.SerialException, match="unplugged"):
        port.read(10_000)
    port.close()
    registry.unregister("bench")


@pytest.mark.parametrize(
    ("fault", "hears", "speaks"), [("deaf", False, True), ("mute", True, False)]
)
def test_deaf_and_mute(clock: VirtualClock, fault: str, hears: bool, speaks: bool) -> None:
    heard: list[bytes] = []
    board = SimBoard("uno", on_message=heard.append)
    registry.register("bench", board, clock, LineFaults(0, {fault: 1}))
    port = serial.serial_for_url("simboard://bench", timeout=0)
    port.write(REQUEST)
    clock.advance(0.6)
    assert bool(heard) is hears
    assert bool(port.in_waiting) is speaks
    port.close()
    registry.unregister("bench")


def test_garbage_and_late_bytes(clock: VirtualClock) -> None:
    faults = LineFaults(1, {"garbage": 300})
    board = SimBoard("uno")
    registry.register("bench", board, clock, faults)
    port = serial.serial_for_url("simboard://bench", timeout=0)
    assert len(port.read(5000)) > 300
    assert board.bad_frames > 0
    faults.order("delay", 1.0)
    faults.order("delay_s", 0.2)
    port.write(b"\0" + REQUEST)
    clock.advance(0.19)
    assert port.in_waiting == 0
    clock.advance(0.02)  # there ...
    assert port.in_waiting == 0
    clock.advance(0.2)  # ... and back
    assert boot_ids(port.read(port.in_waiting)) == [1]
    port.close()
    registry.unregister("bench")


def test_late_bytes_reach_the_board_at_their_own_time(clock: VirtualClock) -> None:
    board = SimBoard("uno")
    cable = registry.register(
        "bench", board, clock, LineFaults(1, {"delay": 1, "delay_s": 0.2})
    ).cable
    cable.send(1.0, REQUEST)
    cable.faults.order("delay", 0)
    cable.advance(1.1)
    cable.send(1.15, b"")
    cable.board.take_output()
    cable.take(1.15)
    sent: list[float] = []
    real_send = cable.faults.to_host.send

    def note(now_s: float, data: bytes) -> None:
        sent.append(now_s)
        real_send(now_s, data)

    cable.faults.to_host.send = note  # type: ignore[method-assign]
    cable.advance(3.1)
    assert sent == [pytest.approx(time_s) for time_s in (1.2, 1.5, 2.0, 2.5, 3.0)]
    registry.unregister("bench")


def test_a_host_that_never_reads_fills_its_buffer_and_no_more(
    entry: RegisteredBoard, port: protocol_simboard.Serial, clock: VirtualClock
) -> None:
    for _ in range(200):
        port.write(REQUEST * 100)
    assert port.in_waiting == 65_536
    assert entry.in_use
    assert clock.now() == 0.0


@pytest.mark.usefixtures("entry")
def test_a_name_can_be_taken_once() -> None:
    with pytest.raises(LogicError, match="Bench already"):
        registry.register("Bench", SimBoard("uno"), VirtualClock())


def test_everything_works_without_posix_modules() -> None:
    """Windows has none of these; what runs in this process must not want them."""
    program = """
import sys
import serial  # its own back end of this system needs them; on Windows it has another
for name in ("termios", "fcntl", "pty", "tty", "pwd", "grp", "resource"):
    sys.modules[name] = None
from panelbridge.clock import VirtualClock
from panelbridge.simboard import registry, sim_panel
from panelbridge.simboard.serving import command
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.protocol_simboard import Serial
clock = VirtualClock()
entry = registry.register("bench", SimBoard("uno"), clock)
port = Serial(entry.url, timeout=0.6)
print(len(port.read(100)))
port.close()
print(command.serve())
"""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={**os.environ, "PYTHONDEVMODE": "1"},
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["28", "2"]
    assert "no pseudo-terminals" in done.stderr
    assert "panelbridge demo" in done.stderr
