"""The kinds of files that the bench writes; each writer puts its mark at the beginning."""

from __future__ import annotations

from panelbridge.printing import FileKind

SUITES = "panelbridge bench"
"""Name of the whole JUnit report."""
JUNIT = FileKind("a JUnit report", f'name="{SUITES}"')
SVG = FileKind("a timeline", "<!-- panelbridge timeline -->")
VCD = FileKind("a timeline", "panelbridge timeline")
TIMELINES = {".svg": SVG, ".vcd": VCD}
"""Kinds of timelines by the ending of their names."""
