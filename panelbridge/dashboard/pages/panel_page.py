"""The first page: the panel as it is built, to be read from two metres.

Four places never move: the verdict of the gear at the top left, the link at its right; below them
the horn, and at its right the data. A horn that sounds, or a lost board, takes the whole band while
the data can be trusted. Below stand the legs and the handle, the lamps, the gauges.
"""

from __future__ import annotations

from msgspec import Struct

from panelbridge.dashboard.blocks.banner import (
    Banner,
    beside,
    draw_banner,
)
from panelbridge.dashboard.blocks.gauge_cells import GAUGE_ROWS, gauge_cells
from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.leg_tiles import HANDLE
from panelbridge.dashboard.blocks.status_banners import (
    data_banner,
    horn_banner,
    link_banner,
)
from panelbridge.dashboard.blocks.trends import LEAST_ROWS, STRIPS, trend_lines
from panelbridge.dashboard.blocks.verdict import gear_verdict
from panelbridge.dashboard.history import moment_of
from panelbridge.dashboard.pages.panel_body import (
    HUGE_WIDTH,
    LARGE_WIDTH,
    least_leg_rows,
    panel_body,
)
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    asking,
    blank,
    fit,
    fit_right,
    row,
)
from panelbridge.dashboard.text.state_words import time_text

_HUGE_HEIGHT = 54
_PLAIN_WIDTH, _PLAIN_HEIGHT = 56, 18
"""On a smaller screen the banners are lines of plain text."""
_NARROW_WIDTH = 78
_QUIET_DATA = 25
"""On a narrow screen, data without a ground: the words must not run into those of the horn."""
_TREND_ROWS = LEAST_ROWS + STRIPS
_SILENCE = "horn_silence"
_GEAR, _HORN = "gear", "horn"
"""What a click on the verdict and on the horn asks for."""


class _Sizes(Struct, frozen=True):
    """Cells of each part at one size of the screen: scale of letters, link, data, rows of log."""

    scale: int
    link: int
    data: int
    log: int


def _sizes(width: int, height: int) -> _Sizes:
    if width < _PLAIN_WIDTH or height < _PLAIN_HEIGHT:
        return _Sizes(0, 0, width // 2, 1 if height >= 14 else 0)
    if width >= HUGE_WIDTH and height >= _HUGE_HEIGHT:
        return _Sizes(2, 76, 84, 8)
    if width >= LARGE_WIDTH:
        return _Sizes(1, 40, 42, 4)
    log = 2 if height >= 24 else 0
    return _Sizes(1, 17, 27, log) if width < _NARROW_WIDTH else _Sizes(1, 20, 38, log)


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
    if room - least_leg_rows(content) < GAUGE_ROWS:
        gauges = []
    most = room - len(gauges)
    wanted = most - sizes.log
    body = panel_body(content, lamps, width, (wanted - _TREND_ROWS - 1, wanted, most))
    spare = max(most - len(body), 0)
    # Of the log, what is not needed for trends stays; their strips come last.
    trend_rows = _TREND_ROWS if spare - sizes.log >= _TREND_ROWS else spare - min(sizes.log, 3)
    now = moment_of(content.snapshot)
    trends = trend_lines(
        now, content.samples, content.equipment, content.lamp_looks, width - 2, trend_rows
    )
    trends = [(TextSpan(" "), *line, TextSpan(" ")) for line in trends]
    gap = [blank(width)] * max(spare - len(trends) - sizes.log, 0)
    return [*lines, *body, *gap, *gauges, *trends]


def panel_inputs(content: ScreenContent) -> object:
    """What the page shows of ``content``: while this stays equal, so does the page.

    Most of a snapshot changes all the time in flight, and little of it is here.
    """
    snapshot, view = content.snapshot, content.switches
    speed = snapshot.aircraft.airspeed_kias
    logic, outputs = snapshot.logic, snapshot.outputs
    legs = [
        (leg.name, leg.state, leg.locks, leg.travel_fraction and f"{leg.travel_fraction:.0%}")
        for leg in logic.legs
    ]
    return (
        legs,
        (logic.handle, logic.gear_demand, logic.gear_disagrees, logic.on_ground, logic.faults),
        (logic.horn_causes, logic.warning_causes, logic.horn_silenced),
        logic.values.get("gear_power"),
        (outputs.lamps, outputs.horn, outputs.gauges, outputs.solenoids),
        (snapshot.switches.get(HANDLE), view.positions.get(HANDLE), view.keys.get(_SILENCE)),
        (snapshot.aircraft.bus_powered, snapshot.feed_fresh, snapshot.feed_name),
        (_links(content), content.samples[-1:], speed and round(speed)),
        (snapshot.panel_name, snapshot.aircraft_name, snapshot.phase, snapshot.finished),
        (int(snapshot.time_s), snapshot.show.is_paused),
    )


def _links(content: ScreenContent) -> object:
    """The boards without their counts, which change with every frame."""
    return [
        (
            (board.name, board.state, board.message, board.round_trip_ms, board.poor),
            (round(board.damaged_fraction, 2), board.frames_received > 0),
        )
        for board in content.snapshot.boards
    ]


def _banners(content: ScreenContent, lamps: LampLayout, width: int, sizes: _Sizes) -> list[Line]:
    snapshot, scale = content.snapshot, sizes.scale
    verdict, link = gear_verdict(snapshot, lamps), link_banner(snapshot.boards)
    key = content.switches.keys.get(_SILENCE, "")
    horn, data = horn_banner(snapshot, content.horn_board, key), data_banner(snapshot, lamps)
    if not scale:
        return [
            *asking(draw_banner(verdict, width, 0), _GEAR),
            *asking(draw_banner(horn, width, 0), _HORN),
            *beside(draw_banner(link, width - sizes.data, 0), draw_banner(data, sizes.data, 0)),
        ]
    gear = asking(_apart(verdict, width - sizes.link, scale), _GEAR)
    lines = beside(gear, draw_banner(link, sizes.link, scale))
    lines.append(_info_line(content, width))
    if horn.is_filled and not data.is_filled:
        return [*lines, *asking(draw_banner(horn, width, scale), _HORN)]
    right = sizes.data if data.is_filled or width >= _NARROW_WIDTH else _QUIET_DATA
    left = asking(_apart(horn, width - right, scale), _HORN)
    return [*lines, *beside(left, draw_banner(data, right, scale))]


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
