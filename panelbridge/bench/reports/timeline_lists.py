"""What stands in words under a timeline: failures, steps and events, with their times."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from panelbridge.bench.reports import svg_pieces as svg
from panelbridge.bench.verdict.trace import ScenarioResult

LEFT = 8.0
TIMES = 88.0
"""Right end of the column of times, px."""
WORDS = 98.0
"""Where the words begin, px."""
MOST_LINES = 400
"""A list that is longer is cut, and says so."""
_LINE = 15.0

Line = tuple[str, str]
"""A time, which may be empty, and words."""


def list_parts(result: ScenarioResult, top: float, width: float) -> tuple[list[str], float]:
    """The lists, one under the other.

    Args:
        result: the run.
        top: where they begin, px.
        width: of the picture, px.

    Returns:
        Pieces of SVG, and where they end, px.
    """
    parts: list[str] = []
    y = top
    steps = [mark for mark in result.trace.marks if not (mark.failed or mark.passed)]
    columns = int((width - WORDS - LEFT) / svg.CHARACTER_PX)
    for heading, lines in (
        ("Failed", _failed(result)),
        ("Not decided", (("", f"{one.spot}  {one.expected}") for one in result.undecided)),
        ("Steps", ((_time(one.time_s), one.text) for one in steps)),
        ("Events", ((_time(one.time_s), one.text) for one in result.trace.events)),
    ):
        shown = _cut([*lines])
        if not shown:
            continue
        parts.append(svg.text(LEFT, y + 16, heading, kind="title"))
        y += 24
        for time, words in shown:
            if time:
                parts.append(svg.text(TIMES, y + 10, time, anchor="end"))
            for line in textwrap.wrap(words, columns) or [""]:
                parts.append(svg.text(WORDS, y + 10, line))
                y += _LINE
    return parts, y


def _failed(result: ScenarioResult) -> Iterator[Line]:
    for failure in result.failures:
        yield _time(failure.time_s), str(failure.spot)
        yield "", f"expected: {failure.expected}"
        yield "", f"it was: {failure.actual}"


def _time(time_s: float) -> str:
    return f"{time_s:.3f} s"


def _cut(lines: list[Line]) -> list[Line]:
    more = len(lines) - MOST_LINES
    return [*lines[:MOST_LINES], ("", f"and {more} more")] if more > 0 else lines
