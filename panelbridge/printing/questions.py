"""Questions on the console; without a terminal nobody answers."""

from __future__ import annotations

import sys

from panelbridge.printing.console import say


def ask(question: str) -> str | None:
    """The line that the user types, without spaces around it; None when there is no terminal."""
    if sys.stdin is None or not sys.stdin.isatty():
        return None
    say(question, end=" ")
    line = sys.stdin.readline()
    return line.strip() if line else None
