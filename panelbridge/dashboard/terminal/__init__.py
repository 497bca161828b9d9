"""What comes from the terminal and goes to it: keys, its answers, which are no keys, and signs."""

from __future__ import annotations

from panelbridge.dashboard.terminal.terminal_app import TerminalApp

__all__ = ["TerminalApp"]
