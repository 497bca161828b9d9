"""Reads what the dashboard draws."""

from __future__ import annotations

from panelbridge.dashboard.text.lines import Line


def text_of(line: Line) -> str:
    """The text of ``line`` without its styles."""
    return "".join(span.text for span in line)
