"""The serial ports of this computer."""

from __future__ import annotations


def print_ports() -> int:
    """Print a line for each port; returns the exit code 0."""
    from serial.tools.list_ports import comports

    found = sorted(comports())
    for port in found:
        usb = f"  USB {port.vid:04X}:{port.pid:04X}" if port.vid is not None else ""
        print(f"{port.device:<20} {port.description}{usb}")
    if not found:
        print("no serial ports: is the board plugged in, with a cable that carries data?")
    return 0
