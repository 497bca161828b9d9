"""Terminals that are no board's port are left alone, and ports get their settings back."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import serial

from panelbridge.errors import LinkLost, PortBusy, PortMissing
from panelbridge.link.ports import open_port, terminal_check
from panelbridge.link.ports.link_owner import KIND, owner_file, owner_has_ended
from panelbridge.link.ports.native_serial import NativeSerial
from panelbridge.link.ports.terminal_check import session_is_on

if sys.platform == "win32":
    pytest.skip("there are no pseudo-terminals", allow_module_level=True)

SESSION = """
import os, sys
os.login_tty(int(sys.argv[1]))
print("ready", flush=True)
sys.stdin.read()
"""


@dataclass
class Terminal:
    """A pseudo-terminal, as its program has set it."""

    master: int
    slave: int
    path: str

    @property
    def settings(self) -> list[Any]:
        import termios

        return termios.tcgetattr(self.slave)


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    master, slave = os.openpty()
    yield Terminal(master, slave, os.ttyname(slave))
    os.close(slave)
    os.close(master)


@pytest.fixture
def session(terminal: Terminal) -> Iterator[Terminal]:
    """The same with a program whose controlling terminal it is."""
    process = subprocess.Popen(
        [sys.executable, "-c", SESSION, str(terminal.slave)], pass_fds=[terminal.slave]
    )
    assert os.read(terminal.master, 100).startswith(b"ready")
    yield terminal
    process.kill()
    process.wait()


both_ways = pytest.mark.parametrize("threaded", [False, True], ids=["descriptor", "thread"])


@both_ways
def test_the_terminal_of_a_session_is_not_opened(session: Terminal, threaded: bool) -> None:
    before = session.settings
    with pytest.raises(PortBusy, match="terminal of a login or a program") as caught:
        open_port(session.path, 250_000, threaded=threaded)
    assert "panelbridge ports" in caught.value.hint
    assert session.settings == before


def test_a_link_to_it_is_no_way_round(session: Terminal, tmp_path: Path) -> None:
    link = tmp_path / "board"
    link.symlink_to(session.path)
    with pytest.raises(PortBusy, match="terminal of a login or a program"):
        open_port(str(link), 115_200)


def test_ps_finds_a_session_where_there_is_no_proc(
    session: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(terminal_check, "PROC", tmp_path / "none")
    assert session_is_on(session.path, os.stat(session.path).st_rdev)
    master, slave = os.openpty()
    assert not session_is_on(os.ttyname(slave), os.fstat(slave).st_rdev)
    os.close(slave)
    os.close(master)


@pytest.mark.parametrize(("major", "minor"), [(136, 5), (4, 64), (188, 0x12345)])
def test_a_device_is_found_in_proc(
    major: int, minor: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Numbers as proc(5) has them: minor in bits 31-20 and 7-0, major in bits 15-8."""
    device = os.makedev(major, minor)
    number = (minor >> 8) << 20 | major << 8 | minor & 0xFF
    for name, line in (
        ("self", "1 (run) S 0 1 1 0 -1 0"),
        ("7", f"7 (a ) S 9) S 0 7 7 {number} 7 0"),
        ("8", ""),
    ):
        (tmp_path / name).mkdir()
        (tmp_path / name / "stat").write_text(line)
    (tmp_path / "8" / "stat").unlink()
    monkeypatch.setattr(terminal_check, "PROC", tmp_path)
    assert session_is_on("/dev/x", device)
    assert not session_is_on("/dev/x", os.makedev(major, minor + 1))


def test_what_is_no_terminal_is_refused_without_being_opened(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("mine")
    os.mkfifo(tmp_path / "pipe")
    for path in (file, tmp_path / "pipe", tmp_path, Path("/dev/null")):
        with pytest.raises(PortMissing, match="this is not a serial port"):
            open_port(str(path), 250_000)
    assert file.read_text() == "mine"


@both_ways
def test_settings_are_as_before_once_the_port_is_closed(terminal: Terminal, threaded: bool) -> None:
    before = terminal.settings
    port = open_port(terminal.path, 250_000, threaded=threaded)
    assert terminal.settings != before
    port.close()
    assert terminal.settings == before


def test_settings_are_as_before_when_the_port_refuses_its_own(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    import termios

    before = terminal.settings
    configure = serial.Serial._reconfigure_port  # type: ignore[attr-defined]

    def refuse(port: serial.Serial, force_update: bool = False) -> None:
        configure(port, force_update)
        raise termios.error(25, "Inappropriate ioctl for device")

    monkeypatch.setattr(serial.Serial, "_reconfigure_port", refuse)
    with pytest.raises(PortMissing):
        open_port(terminal.path, 250_000)
    assert terminal.settings == before


def test_the_settings_of_a_port_in_use_are_not_touched(terminal: Terminal) -> None:
    port = open_port(terminal.path, 250_000)
    raw = terminal.settings
    with pytest.raises(PortBusy, match="another program holds the port"):
        open_port(terminal.path, 115_200)
    assert terminal.settings == raw
    port.close()


def test_the_line_dtr_is_raised_once(terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
    """It resets boards: neither looking nor restoring may move it."""
    raised = []
    monkeypatch.setattr(NativeSerial, "_update_dtr_state", lambda port: raised.append(port.dtr))
    open_port(terminal.path, 250_000).close()
    assert raised == [True]


def test_a_terminal_that_is_gone_closes_without_a_word(terminal: Terminal) -> None:
    port = open_port(terminal.path, 250_000)
    master, slave = os.openpty()
    os.dup2(slave, terminal.slave)
    os.dup2(master, terminal.master)
    os.close(slave)
    os.close(master)
    with pytest.raises(LinkLost):
        port.write(b"lamp")
    port.close()


def test_another_device_under_the_name_meanwhile(
    terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the look and the opening the link was led elsewhere."""
    master, slave = os.openpty()
    link = tmp_path / "board"
    link.symlink_to(terminal.path)
    real = os.open

    def open_and_move(path: Any, *rest: Any, **more: Any) -> int:
        fd = real(path, *rest, **more)
        if path == str(link):
            link.unlink()
            link.symlink_to(os.ttyname(slave))
        return fd

    before = terminal.settings
    monkeypatch.setattr(os, "open", open_and_move)
    with pytest.raises(PortMissing, match="another device"):
        open_port(str(link), 250_000)
    assert terminal.settings == before
    os.close(slave)
    os.close(master)


# -- the owner of a link ------------------------------------------------------------------------


def test_a_link_without_an_owner_is_a_link_like_others(terminal: Terminal, tmp_path: Path) -> None:
    link = tmp_path / "by-id"
    link.symlink_to(terminal.path)
    open_port(str(link), 250_000).close()
    owner_file(link).write_text("notes of mine")
    assert not owner_has_ended(str(link))


def test_a_board_that_ends_while_its_port_is_open(tmp_path: Path) -> None:
    master, slave = os.openpty()
    link = tmp_path / "board"
    link.symlink_to(os.ttyname(slave))
    port = open_port(str(link), 250_000)
    owner_file(link).write_text(KIND)  # nobody holds it
    os.close(slave)
    os.close(master)
    with pytest.raises(LinkLost, match="simulated board that made this link has ended"):
        port.write(b"lamp")
    port.close()


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGHUP, signal.SIGTERM])
@pytest.mark.thorough
def test_the_link_of_a_board_that_has_ended(tmp_path: Path, number: signal.Signals) -> None:
    """Another program gets the number of its terminal; the name must not lead there."""
    link = tmp_path / "board"
    process = subprocess.Popen(
        [sys.executable, "-m", "panelbridge", "simboard", "--kind", "uno", "--link", str(link)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline().startswith("port ")
    assert owner_file(link).read_text().startswith(KIND)
    assert not owner_has_ended(str(link))
    open_port(str(link), 250_000).close()
    process.send_signal(number)
    process.wait()
    process.stdout.close()
    assert owner_has_ended(str(link)) == (number is signal.SIGKILL)
    what = "simulated board that made this link has ended"
    if number is not signal.SIGKILL:
        assert not os.path.lexists(link)
        assert not os.path.lexists(owner_file(link))
        what = "there is no such port"
    with pytest.raises(PortMissing, match=what) as caught:
        open_port(str(link), 250_000)
    if number is signal.SIGKILL:
        assert caught.value.hint == f"start it again: panelbridge simboard --link {link}"
