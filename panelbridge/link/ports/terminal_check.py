"""Whether a device may be a board's port: a terminal, and not one in which a session runs."""

from __future__ import annotations

import contextlib
import os
import stat
import subprocess
from collections.abc import Iterator
from pathlib import Path

from panelbridge.errors import PortBusy, PortMissing
from panelbridge.link.ports.link_owner import BOARD_ENDED, owner_has_ended, start_again_hint
from panelbridge.link.ports.port_errors import ports_hint

PROC = Path("/proc")
"""Where Linux shows its processes."""
_PS_WAIT_S = 2.0


def check_path(path: str) -> int:
    """Check the device that ``path`` leads to, before it is opened; returns its number.

    Raises:
        OSError: there is nothing.
        PortMissing: it is no device, or the simulated board that made the link to it has ended.
        PortBusy: it is the terminal of a session.
    """
    if owner_has_ended(path):
        raise PortMissing(BOARD_ENDED, path, start_again_hint(path))
    status = os.stat(path)
    if not stat.S_ISCHR(status.st_mode):
        raise PortMissing("this is not a serial port", path, ports_hint())
    if session_is_on(path, status.st_rdev):
        what = "this is the terminal of a login or a program, not the port of a board"
        raise PortBusy(what, path, "give the port of the board ('panelbridge ports' lists them)")
    return status.st_rdev


def check_open(path: str, fd: int) -> None:
    """Check what was opened as ``path``, which may lead elsewhere than a moment ago.

    Raises: as ``check_path``; PortMissing: it is no terminal, or another device.
    """
    if not os.isatty(fd):
        raise PortMissing("this is not a serial port", path, ports_hint())
    if check_path(path) != os.fstat(fd).st_rdev:
        raise PortMissing("another device has taken this name", path, "it is tried again")


def session_is_on(path: str, device: int) -> bool:
    """Whether a process has the terminal as its controlling one.

    Args:
        path: its path; links may lead there.
        device: its device number.
    """
    if (PROC / "self" / "stat").exists():
        return _as_in_proc(device) in _terminals_in_proc()
    return _ps_lists(path)


def _terminals_in_proc() -> Iterator[int]:
    for name in os.listdir(PROC):
        if name.isdecimal():
            with contextlib.suppress(OSError):  # it has ended meanwhile
                yield _terminal_in((PROC / name / "stat").read_bytes())


def _terminal_in(line: bytes) -> int:
    """The field ``tty_nr``; the command before it may contain spaces and brackets."""
    return int(line.rpartition(b")")[2].split()[4]) & 0xFFFFFFFF


def _as_in_proc(device: int) -> int:
    major, minor = os.major(device), os.minor(device)
    return minor & 0xFF | major << 8 | (minor & ~0xFF) << 12


def _ps_lists(path: str) -> bool:
    """The same by the command ``ps``, on systems without ``/proc``."""
    terminal = os.path.realpath(path).removeprefix("/dev/")
    command = ["ps", "-t", terminal, "-o", "pid="]
    try:
        done = subprocess.run(command, capture_output=True, timeout=_PS_WAIT_S, check=False)
    except (OSError, subprocess.SubprocessError):
        return False
    return bool(done.stdout.strip())
