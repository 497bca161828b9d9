"""What comes from the terminal: keys, and the terminal's answers, which are no keys."""

from __future__ import annotations

from textual.driver import Driver

__all__ = ["patient_driver"]


def patient_driver(driver: type[Driver]) -> type[Driver]:
    """``PatientDriver`` in place of the library's driver of POSIX terminals; others as they are."""
    if driver.__name__ != "LinuxDriver":
        return driver
    from panelbridge.dashboard.terminal.driver import PatientDriver

    return PatientDriver
