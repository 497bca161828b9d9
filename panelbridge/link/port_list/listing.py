"""The ports of this computer in lines for people, none of them opened."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from panelbridge.config.words import counted
from panelbridge.link.port_list.panel_ports import BoardOfFile

NO_PORT = "no serial ports: is the board plugged in, with a cable that carries data?"


class FoundPort(Struct, frozen=True):
    """What the system says of a port.

    Attributes:
        device: its name.
        description: in the words of its driver.
        maker: of the USB device; empty when it is none.
        usb_id: vendor and product, four hexadecimal digits each; empty when it is none.
        serial_number: of the USB device.
    """

    device: str
    description: str = ""
    maker: str = ""
    usb_id: str = ""
    serial_number: str = ""


def found_ports() -> list[FoundPort]:
    """The serial ports that exist. Opens none; can take seconds on Windows."""
    from serial.tools.list_ports import comports

    return [
        FoundPort(
            port.device,
            _known(port.description) or _known(port.product),
            _known(port.manufacturer),
            f"{port.vid:04X}:{port.pid:04X}" if port.vid is not None else "",
            _known(port.serial_number),
        )
        for port in comports()
    ]


def _known(text: str | None) -> str:
    return "" if text in (None, "n/a") else str(text)


def list_lines(found: Iterable[FoundPort], boards: Sequence[BoardOfFile]) -> Iterator[str]:
    """Each port with what the system and the panel files say of it.

    Args:
        found: the ports that exist.
        boards: the boards of the panel files in reach.
    """
    ports = sorted(found, key=lambda port: port.device)
    known = [port for port in ports if not _is_bare(port) or _boards_on(port.device, boards)]
    for port in known:
        yield _line(port)
        for board in _boards_on(port.device, boards):
            yield f"    {board.words}"
        denied = permission_line(port.device)
        if denied:
            yield f"    {denied}"
    bare = len(ports) - len(known)
    if bare:  # Linux lists those of the mainboard, whether or not they are there
        yield f"{counted(bare, 'port')} of which the system knows nothing but the name"
    if not known:
        yield NO_PORT
    devices = [port.device for port in ports]
    for board in boards:
        if not board.port:
            yield f"{board.words} has no port yet: write 'port:' there"
        elif not any(board.is_on(device) for device in devices) and not _elsewhere(board.port):
            yield f"{board.port} is not there now: {board.words}"


def permission_line(device: str) -> str:
    """Why this user may not open a port, with the command that mends it; empty when he may."""
    if os.name != "posix" or "://" in device or not os.path.exists(device):
        return ""
    if os.access(device, os.R_OK | os.W_OK):
        return ""
    group = _group_of(device)
    mend = f"sudo usermod -aG {group} $USER, then log in again"
    if group in ("root", "wheel", ""):
        mend = f"sudo chmod a+rw {device}, until it is unplugged"
    return f"no permission to open it: {mend}"


def _group_of(device: str) -> str:
    import grp  # there is none on Windows

    try:
        return grp.getgrgid(os.stat(device).st_gid).gr_name
    except (KeyError, OSError):
        return ""


def _line(port: FoundPort) -> str:
    words = [port.description or "no description"]
    if port.maker and port.maker not in words[0]:
        words.append(f"by {port.maker}")
    if port.usb_id:
        words.append(f"USB {port.usb_id}")
    if port.serial_number:
        words.append(f"serial number {port.serial_number}")
    return f"{port.device:<20} {', '.join(words)}"


def _is_bare(port: FoundPort) -> bool:
    return not port.usb_id and port.description in ("", os.path.basename(port.device))


def _boards_on(device: str, boards: Sequence[BoardOfFile]) -> list[BoardOfFile]:
    return [board for board in boards if board.is_on(device)]


def _elsewhere(port: str) -> bool:
    """Whether it is a port that no list of the system has, such as a network address."""
    return "://" in port or os.path.exists(port)
