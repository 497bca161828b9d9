"""The first page: the panel as it is built, to be read from two metres.

Four places never move: the verdict of the gear at the top left, the link at its right; below them
the horn, and at its right the data. A horn that sounds, or a lost board, takes the whole band while
the data can be trusted. Below stand the legs and the handle, the lamps, the gauges.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.dashboard.blocks.banner import (
    Banner,
    beside,
    draw_banner,
)
from panelbridge.dashboard.blocks.gauge_cells import GAUGE_ROWS, gauge_cells
from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.leg_tiles import HANDLE, HUGE_LEG, LARGE_LEG, SMALL_LEG, LegArea
from panelbridge.dashboard.blocks.panel_layout import lamp_rows, leg_rows
from panelbridge.dashboard.blocks.status_banners import (
    HANDLE_LAMP,
    data_banner,
    horn_banner,
    link_banner,
)
from panelbridge.dashboard.blocks.tile_grid import tile_grid
from panelbridge.dashboard.blocks.verdict import gear_verdict
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    blank,
    fit,
    fit_right,
    row,
    side_by_side,
)
from panelbridge.dashboard.text.state_words import time_text

_LARGE_WIDTH = 112
"""Least width for legs whose lamps stand beside each other."""
_HUGE_WIDTH, _HUGE_HEIGHT = 180, 54
_PLAIN_WIDTH, _PLAIN_HEIGHT = 56, 18
"""On a smaller screen the banners are lines of plain text."""
_HUGE_LEG_ROWS, _LARGE_LEG_ROWS, _LEAST_LEG_ROWS = 12, 9, 6
_SMALL_LEG_ROWS = 3
_SILENCE = "horn_silence"


@dataclass(frozen=True, slots=True)
class _Sizes:
    """Cells of each part at one size of the screen: scale of letters, link, data, rows of log."""

    scale: int
    link: int
    data: int
    log: int


def _sizes(width: int, height: int) -> _Sizes:
    if width < _PLAIN_WIDTH or height < _PLAIN_HEIGHT:
        return _Sizes(0, 0, width // 2, 1 if height >= 14 else 0)
    if width >= _HUGE_WIDTH and height >= _HUGE_HEIGHT:
        return _Sizes(2, 76, 84, 8)
    if width >= _LARGE_WIDTH:
        return _Sizes(1, 40, 42, 4)
    return _Sizes(1, 20 if width >= 78 else 17, 38 if width >= 78 else 27, 2 if height >= 24 else 0)


def draw_panel_page(content: ScreenContent, width: int, screen_height: int) -> list[Line]:
    """The lines of the page, each exactly ``width`` cells; the log gets the rows that are left.

    Args:
        content: what to draw.
        width: of the screen.
        screen_height: of the whole screen.
    """
    sizes = _sizes(width, screen_height)
    lamps = content.lamp_layout()
    lines = _banners(content, lamps, width, sizes)
    keys = 1 if screen_height >= 8 else 0
    gauges = gauge_cells(content.snapshot, content.equipment, width - 2)
    gauges = [(TextSpan(" "), *line, TextSpan(" ")) for line in gauges]
    room = screen_height - keys - len(lines)
    if sizes.scale:
        lines.append(blank(width))
        room -= 1
    # The log gives way to tiles, and gauges to legs.
    legs_need = _least_rows(content, width)
    if room - legs_need < GAUGE_ROWS:
        gauges = []
    body = _body(content, lamps, width, room - len(gauges), room - len(gauges) - sizes.log)
    spare = room - len(body) - len(gauges) - sizes.log
    return [*lines, *body, *[blank(width)] * min(max(spare, 0), 1 if gauges else 0), *gauges]


def _banners(content: ScreenContent, lamps: LampLayout, width: int, sizes: _Sizes) -> list[Line]:
    snapshot, scale = content.snapshot, sizes.scale
    verdict, link = gear_verdict(snapshot, lamps), link_banner(snapshot.boards)
    key = content.switches.keys.get(_SILENCE, "")
    horn, data = horn_banner(snapshot, content.horn_board, key), data_banner(snapshot, lamps)
    if not scale:
        return [
            *draw_banner(verdict, width, 0),
            *draw_banner(horn, width, 0),
            *beside(draw_banner(link, width - sizes.data, 0), draw_banner(data, sizes.data, 0)),
        ]
    lines = beside(_apart(verdict, width - sizes.link, scale), draw_banner(link, sizes.link, scale))
    lines.append(_info_line(content, width))
    if horn.is_filled and not data.is_filled:
        return [*lines, *draw_banner(horn, width, scale)]
    return [
        *lines,
        *beside(_apart(horn, width - sizes.data, scale), draw_banner(data, sizes.data, scale)),
    ]


def _apart(banner: Banner, width: int, scale: int) -> list[Line]:
    """A banner with an empty cell at its right, so that two grounds do not melt into one."""
    return [(*line, TextSpan(" ")) for line in draw_banner(banner, width - 1, scale)]


def _info_line(content: ScreenContent, width: int) -> Line:
    """Between the banners: what runs, the phase of the flight, the time; all of it quiet."""
    snapshot = content.snapshot
    phase = "finished" if snapshot.finished else snapshot.phase
    right = f"{phase}  {time_text(snapshot.time_s)} "
    names = [name for name in (snapshot.panel_name, snapshot.aircraft_name) if name]
    room = max(width - len(right), 0)
    return row(
        [
            TextSpan(fit(" " + (" · ".join(names) or content.title), room), TextStyle.QUIET),
            TextSpan(fit_right(right, width - room), TextStyle.QUIET),
        ],
        width,
    )


def _rows_of_legs(content: ScreenContent) -> list[list[str]]:
    legs = [leg.name for leg in content.snapshot.logic.legs]
    handle = any(control.name == HANDLE for control in content.switches.controls)
    return leg_rows(content.layout, legs, handle=handle)


def _least_rows(content: ScreenContent, width: int) -> int:
    count = len(_rows_of_legs(content))
    return max(count * (_SMALL_LEG_ROWS + 1) - 1, 0)


def _body(
    content: ScreenContent, lamps: LampLayout, width: int, most: int, wanted: int
) -> list[Line]:
    """Legs at the left, the other lamps at the right, in ``wanted`` to ``most`` lines."""
    most, wanted = max(most, 1), max(wanted, 1)
    area = _leg_area(content, lamps, width, wanted)
    legs = [(TextSpan(" "), *line) for line in area.draw()]
    taken = area.width + 1
    left = width - taken - 3
    handle = any(HANDLE in cells for cells in area.rows)
    looks = [look for look in lamps.others if look.name != HANDLE_LAMP or not handle]
    if not looks or left < 14:
        lines = [row(line, width) for line in legs]
    else:
        given = lamp_rows(content.layout, lamps.looks)
        outputs = content.snapshot.outputs
        tiles = tile_grid(given, looks, lamps, outputs, left, wanted)
        if most > wanted:
            more = tile_grid(given, looks, lamps, outputs, left, most)
            if _shows_more(tiles, more):
                tiles = more
        cells = [(TextSpan("  "), *line, TextSpan(" ")) for line in tiles]
        lines = side_by_side([(legs, taken), (cells, left + 3)])
    lines = lines[:most]
    return lines + [blank(width)] * (wanted - len(lines))


def _shows_more(tiles: list[Line], more: list[Line]) -> bool:
    """Whether only ``more`` shows every lamp."""
    return _is_cut(tiles) and not _is_cut(more)


def _is_cut(tiles: list[Line]) -> bool:
    return bool(tiles) and any("(key 4)" in span.text for span in tiles[-1])


def _leg_area(content: ScreenContent, lamps: LampLayout, width: int, rows: int) -> LegArea:
    leg_names = _rows_of_legs(content)
    count = max(len(leg_names), 1)
    each = (rows + 1) // count - 1
    widest = max((sum(name != HANDLE for name in cells) for cells in leg_names), default=0)
    large = (
        width >= _LARGE_WIDTH
        and each >= _LEAST_LEG_ROWS
        and widest * (LARGE_LEG + 1) <= width - (_LARGE_WIDTH // 3)
    )
    huge = large and width >= _HUGE_WIDTH
    height = min(each, _HUGE_LEG_ROWS if huge else _LARGE_LEG_ROWS) if large else _SMALL_LEG_ROWS
    target = None
    position = content.switches.positions.get(HANDLE)
    if content.switches.simulated and position is not None:
        other = "up" if position == "down" else "down"
        target = ClickTarget(HANDLE, other)
    leg = HUGE_LEG if huge else LARGE_LEG if large else SMALL_LEG
    return LegArea(content.snapshot, lamps, leg_names, target, leg, height)
