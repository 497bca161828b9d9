"""Page 3: the sections of the aircraft's systems, each whole; what is not normal comes first.

Below the sections of a column, trends of their numbers fill what is left of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.dashboard.blocks.abnormal import FirstSections, abnormal_sections
from panelbridge.dashboard.blocks.header import LABEL_WIDTH
from panelbridge.dashboard.blocks.strips import strip_lines
from panelbridge.dashboard.blocks.systems import (
    AIRCRAFT,
    COMMANDS,
    CONTINUES,
    CONTROLS,
    FAULTS,
    GAUGES,
    LEAST_COLUMN,
    aircraft_block,
    command_block,
    control_block,
    fault_block,
    gauge_block,
    system_blocks,
)
from panelbridge.dashboard.blocks.trends import STRIPS, draw_trend, value_trend
from panelbridge.dashboard.history import moment_of
from panelbridge.dashboard.interfaces import ValueLook
from panelbridge.dashboard.pages.lazy_parts import LazyParts
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.pages.trend_gaps import TrendGap, by_part, filled_gaps, parts_in
from panelbridge.dashboard.text.columns import Block
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    fit,
    heading,
    row,
    side_by_side,
)
from panelbridge.dashboard.text.masonry import BlockPlace, place_blocks, wide_rows
from panelbridge.dashboard.text.wrapping import wrap
from panelbridge.engine.snapshot import Snapshot


def with_firsts(content: ScreenContent, firsts: FirstSections) -> ScreenContent:
    """The content with the sections that come first now."""
    snapshot = content.snapshot
    found = abnormal_sections(snapshot, content.equipment, content.lamp_layout())
    return replace(content, firsts=firsts.take(snapshot.time_s, found))


class _Section(Struct, frozen=True):
    """A section: its title, and its lines below the heading, as wide as a column."""

    title: str
    lines: Sequence[Line]


def draw_systems(content: ScreenContent, width: int, rows: int) -> LazyParts:
    """The lines of each part.

    Args:
        content: what to draw.
        width: of the lines.
        rows: of a part, at most.
    """
    columns = max(width // LEAST_COLUMN, 1)
    sections = _sections(content, width // columns, width)
    if len(sections) < columns:
        columns = max(len(sections), 1)
        sections = _sections(content, width // columns, width)
    cells = width // columns
    sections = _in_order(sections, content.firsts)
    pieces = [piece for one in sections for piece in _pieces(one, columns, rows)]
    firsts = sum(piece.title in content.firsts for piece in pieces)
    lengths = tuple(len(piece.lines) + 1 for piece in pieces)
    places = place_blocks(lengths, firsts, columns, rows)
    strips: list[Line] = []
    if content.samples and _fit(lengths, columns, rows - STRIPS):
        fewer = place_blocks(lengths, firsts, columns, rows - STRIPS)
        if fewer[-1:] and parts_in(fewer) == parts_in(places):
            # They cost no part.
            places, rows = fewer, rows - STRIPS
            strips = strip_lines(content.samples, content.lamp_looks, width - 2)
    titles = tuple([piece.title for piece in pieces])
    gaps = filled_gaps(titles, tuple(places), content.equipment, columns, rows)
    placed = by_part(places)
    foot = [(TextSpan(" "), *line, TextSpan(" ")) for line in strips]

    def draw(part: int) -> list[Line]:
        inside = [gap for gap in gaps if gap.part == part]
        sizes = (width, cells, rows)
        return [*_draw_part(content, pieces, placed[part], inside, sizes), *foot]

    return LazyParts(len(placed), rows + len(foot), draw)


def _sections(content: ScreenContent, cells: int, width: int) -> list[_Section]:
    """Every section, as the equipment has them; empty ones are left out."""
    snapshot, equipment = content.snapshot, content.equipment
    blocks: list[tuple[str, Block]] = [
        (FAULTS, fault_block(snapshot, cells) if _faults_are_cut(snapshot, width) else []),
        *zip(equipment.systems, system_blocks(snapshot, equipment, cells), strict=True),
        (GAUGES, gauge_block(snapshot, equipment, cells)),
        (COMMANDS, command_block(snapshot, equipment, cells)),
        (AIRCRAFT, aircraft_block(snapshot, equipment, cells)),
        (CONTROLS, control_block(snapshot, equipment, cells)),
    ]
    return [_Section(title, lines[1:]) for title, lines in blocks if len(lines) > 1]


def _faults_are_cut(snapshot: Snapshot, width: int) -> bool:
    """Whether the top lines have no room for all faults."""
    lines = [wrap(f"X {fault}", max(width - LABEL_WIDTH - 1, 4)) for fault in snapshot.logic.faults]
    return sum(map(len, lines)) > 1


def _in_order(sections: Sequence[_Section], firsts: Mapping[str, str | None]) -> list[_Section]:
    return sorted(sections, key=lambda one: one.title not in firsts)


def _pieces(section: _Section, columns: int, rows: int) -> Iterator[_Section]:
    """The section whole; in pieces only where even a whole part has no room for it."""
    most = len(section.lines)
    while wide_rows(most + 1, columns) > rows and most > 1:
        most -= 1
    for at in range(0, len(section.lines), most):
        yield _Section(section.title, section.lines[at : at + most])


def _fit(lengths: Sequence[int], columns: int, rows: int) -> bool:
    return all(wide_rows(length, columns) <= rows for length in lengths)


# Drawing

_Cell = tuple[int, int, Line]
"""First column, number of columns, line."""


def _draw_part(
    content: ScreenContent,
    pieces: Sequence[_Section],
    placed: Sequence[BlockPlace],
    gaps: Sequence[TrendGap],
    sizes: tuple[int, int, int],
) -> list[Line]:
    width, cells, rows = sizes
    grid: list[list[_Cell]] = [[] for _ in range(rows)]
    for place in placed:
        piece = pieces[place.block]
        for at, line in enumerate(_draw_section(piece, content.firsts, place.columns, cells)):
            grid[place.top + at].append((place.column, place.columns, line))
    for gap in gaps:
        for at, line in enumerate(_draw_trends(content, gap.looks, cells, gap.rows), gap.top):
            grid[at].append((gap.column, 1, line))
    return [_join(line, cells, width) for line in grid]


def _join(found: Sequence[_Cell], cells: int, width: int) -> Line:
    spans: list[TextSpan] = []
    at = 0
    for column, columns, line in sorted(found, key=lambda cell: cell[0]):
        if column > at:
            spans.append(TextSpan(" " * ((column - at) * cells)))
        spans += line
        at = column + columns
    if at * cells < width:
        spans.append(TextSpan(" " * (width - at * cells)))
    return tuple(spans)


def _draw_section(
    section: _Section, firsts: Mapping[str, str | None], columns: int, cells: int
) -> list[Line]:
    """The heading, and the lines in so many columns beside each other."""
    head = _heading(section.title, firsts.get(section.title), columns * cells)
    high = wide_rows(len(section.lines) + 1, columns) - 1
    parts: list[list[Line]] = [[]]
    spare = columns * high - len(section.lines)
    for at, line in enumerate(section.lines):
        after = section.lines[at + 1 : at + 2]
        goes_on = any(one[0].text.startswith(CONTINUES) for one in after)
        room = high - len(parts[-1])
        if room == 0 or (room == 1 and goes_on and spare):
            spare -= room
            parts.append([])
        parts[-1].append(line)
    if len(parts) == 1:
        return [head, *section.lines]
    return [head, *side_by_side([(lines, cells) for lines in parts])]


@lru_cache(maxsize=128)
def _heading(title: str, reason: str | None, width: int) -> Line:
    if reason is None:
        return heading([(title, len(title) + 3)], width)
    text = f"! {title}: {reason}" if reason else f"X {title}"
    named = f" {text} "
    if len(named) > width - 1:
        return row([TextSpan(fit(f" {text}", width - 1), TextStyle.CAUTION)], width)
    rule = TextSpan("─" * (width - 1 - len(named)), TextStyle.RULE)
    return row([TextSpan(named, TextStyle.CAUTION), rule], width)


def _draw_trends(
    content: ScreenContent, looks: Sequence[ValueLook], cells: int, rows: int
) -> list[Line]:
    lines: list[Line] = []
    now = moment_of(content.snapshot)
    for at, look in enumerate(looks):
        high = (rows - len(lines)) // (len(looks) - at)
        trend = value_trend(look, now, content.samples, content.equipment)
        lines += draw_trend(trend, tuple(content.samples), cells, high, edge=1)
    return lines
