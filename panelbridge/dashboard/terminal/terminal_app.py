"""What every screen of the program needs of its terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from textual.app import App
from textual.driver import Driver
from textual.filter import LineFilter

from panelbridge.dashboard.terminal.sign_filter import sign_filters
from panelbridge.engine.steady_heap import spare_collections

Result = TypeVar("Result")


class TerminalApp(App[Result]):
    """A screen that shows only signs its terminal has, and takes no answer of it for keys.

    Raises:
        UsageError: the environment variable names no encoding.
    """

    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { background: #171614; layout: vertical; overflow: hidden; }"

    def __init__(self) -> None:
        super().__init__()
        self._sign_filters = sign_filters()

    def on_ready(self) -> None:
        """All is loaded."""
        if not self.is_headless:
            spare_collections()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Those of the library, and one for a terminal that cannot show every sign."""
        return [*super().get_line_filters(), *self._sign_filters]

    def get_driver_class(self) -> type[Driver]:
        """The library's driver; on POSIX terminals ``PatientDriver`` instead."""
        driver = super().get_driver_class()
        if driver.__name__ != "LinuxDriver":
            return driver
        from panelbridge.dashboard.terminal.driver import PatientDriver

        return PatientDriver
