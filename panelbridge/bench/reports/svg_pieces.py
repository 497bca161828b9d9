"""Shapes of a timeline: plain SVG text, no library needed. Numbers have two decimals."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf
from xml.sax.saxutils import escape

from panelbridge.printing.clean_text import clean_line

CHARACTER_PX = 6.7
"""Width that a character of the small font takes at the most, px."""
TITLE_CHARACTER_PX = 9.1
"""The same of the large font."""
STRAIGHT_PX = 0.1
"""So far a graph may pass by a point that it leaves out, px."""

# Beside its hue each has a pattern, so that the picture reads in black and white.
PATTERNS = """<defs>
<pattern id="red" width="4" height="4" patternUnits="userSpaceOnUse">
<rect width="4" height="4" fill="#b3261e"/></pattern>
<pattern id="green" width="6" height="6" patternUnits="userSpaceOnUse">
<rect width="6" height="6" fill="#7cc28a"/><path d="M0 6L6 0" stroke="#1c5c2b"/></pattern>
<pattern id="amber" width="6" height="6" patternUnits="userSpaceOnUse">
<rect width="6" height="6" fill="#f0b64a"/><path d="M0 0L6 6" stroke="#7a5200"/></pattern>
<pattern id="white" width="6" height="6" patternUnits="userSpaceOnUse">
<rect width="6" height="6" fill="#ffffff"/><circle cx="3" cy="3" r="1" fill="#555"/></pattern>
<pattern id="blue" width="6" height="6" patternUnits="userSpaceOnUse">
<rect width="6" height="6" fill="#8fb4e8"/><path d="M0 3H6" stroke="#1d4e94"/></pattern>
<pattern id="intermittent" width="8" height="4" patternUnits="userSpaceOnUse">
<rect width="8" height="4" fill="#ffffff"/><rect width="4" height="4" fill="#222222"/></pattern>
<pattern id="continuous" width="4" height="4" patternUnits="userSpaceOnUse">
<rect width="4" height="4" fill="#222222"/></pattern>
</defs>"""


def text(x: float, y: float, words: str, *, kind: str = "", anchor: str = "start") -> str:
    """A line of text with its baseline at ``y``."""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" class="{kind}" text-anchor="{anchor}">'
        f"{escape(clean_line(words))}</text>"
    )


def bar(x: float, y: float, width: float, height: float, fill: str, *, name: str = "") -> str:
    """A bar with an outline; ``name`` is shown by programs that show titles."""
    title = f"<title>{escape(clean_line(name))}</title>" if name else ""
    return (
        f'<rect x="{x:.2f}" y="{y:.2f}" width="{max(width, 0.5):.2f}" height="{height:.2f}" '
        f'fill="{fill}" stroke="#222222" stroke-width="0.6">{title}</rect>'
    )


def line(x1: float, y1: float, x2: float, y2: float, *, kind: str = "rule", name: str = "") -> str:
    """A straight line; ``name`` as of a bar."""
    place = f'x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"'
    if not name:
        return f'<line {place} class="{kind}"/>'
    return f'<line {place} class="{kind}"><title>{escape(clean_line(name))}</title></line>'


def graph(points: Iterable[tuple[float, float]], *, kind: str = "graph") -> str:
    """A line through points; those on a straight way between others are left out."""
    places = " ".join(f"{x:.2f},{y:.2f}" for x, y in corners(points))
    return f'<polyline points="{places}" class="{kind}"/>'


def tick(x: float, y: float) -> str:
    """An expectation that held."""
    return graph([(x - 4, y - 3), (x - 1, y), (x + 4, y - 8)], kind="held")


def cross(x: float, y: float) -> str:
    """An expectation that failed."""
    return line(x - 4, y - 8, x + 4, y, kind="failed") + line(x - 4, y, x + 4, y - 8, kind="failed")


def shortened(words: str, width_px: float, character_px: float = CHARACTER_PX) -> str:
    """As much of ``words`` as fits."""
    fits = int(width_px / character_px)
    return words if len(words) <= fits else words[: max(fits - 1, 0)] + "…"


def corners(points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The points that a line needs to pass all of them by no more than ``STRAIGHT_PX``.

    Their x never falls. A ramp of minutes has a point every 20 ms and is one straight line.
    """
    kept: list[tuple[float, float]] = []
    last: tuple[float, float] | None = None
    low, high = -inf, inf
    """Slopes from the last corner that pass all points since then near enough."""
    for x, y in points:
        if not kept:
            kept.append((x, y))
            continue
        if last is not None:
            run, rise = x - kept[-1][0], y - kept[-1][1]
            if run <= 0.0 or not low * run <= rise <= high * run:
                kept.append(last)
                low, high = -inf, inf
        run, rise = x - kept[-1][0], y - kept[-1][1]
        if run > 0.0:
            low = max(low, (rise - STRAIGHT_PX) / run)
            high = min(high, (rise + STRAIGHT_PX) / run)
        else:  # upright: the next point cannot be on the same way
            low, high = inf, -inf
        last = (x, y)
    if last is not None:
        kept.append(last)
    return kept


def lanes(places: Iterable[float], gap_px: float, most: int) -> list[int]:
    """For marks from left to right: in which lane each has ``gap_px`` to the one before it.

    When all ``most`` lanes are taken, marks share the one that has most room.
    """
    ends: list[float] = []
    chosen = []
    for x in places:
        free = next((n for n, end in enumerate(ends) if end + gap_px <= x), len(ends))
        if free == most:
            free = min(range(most), key=ends.__getitem__)
        if free == len(ends):
            ends.append(x)
        ends[free] = x
        chosen.append(free)
    return chosen
