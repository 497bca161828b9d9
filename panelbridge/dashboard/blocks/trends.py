"""The last minute of numbers as lines of dots, with the limits of the aircraft file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

from msgspec import Struct, field

from panelbridge.dashboard.blocks.limits import BEYOND, limit_words, passed_limit
from panelbridge.dashboard.blocks.strips import strip_lines
from panelbridge.dashboard.blocks.time_grid import numbers_of
from panelbridge.dashboard.blocks.trend_curve import TrendCurve, draw_curve
from panelbridge.dashboard.blocks.value_cells import number_text
from panelbridge.dashboard.history import ShownMoment
from panelbridge.dashboard.interfaces import Equipment, LampLook, ValueLimit, ValueLook
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    fit,
    fit_right,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import UNKNOWN

TREND_ROWS = 2
STRIPS = 2
LEAST_ROWS = 1 + TREND_ROWS
"""Title and curve; with ``STRIPS`` rows more the strips too."""
_LEAST_WIDTH = 26
_LEAST_SCALE_KT = 150.0
_FULL_PSI = 4000.0
_PRESSURE, _LEFT, _RIGHT = "hydraulic_pressure", "left_brake", "right_brake"
_SPEED = "airspeed_kias"
_HEADROOM = 1.05
"""Of a scale above the greatest number on it."""


class Trend(Struct, frozen=True):
    """A trend.

    Attributes:
        title: what it shows.
        names: of the numbers that it draws, as ``ShownMoment.number`` knows them.
        scale: the numbers at the bottom and at the top.
        now: the numbers of now, in words; empty: the title has none.
        unit: of the scale, which is written where there are no limits; empty: it is not.
        limits: that are drawn.
        beyond: the limit that is passed now.
    """

    title: str
    names: tuple[str, ...]
    scale: tuple[float, float]
    now: str = ""
    unit: str = ""
    limits: tuple[ValueLimit, ...] = field(default=())
    beyond: ValueLimit | None = None


def trend_lines(
    now: ShownMoment,
    samples: Sequence[ShownMoment],
    equipment: Equipment,
    looks: Sequence[LampLook],
    width: int,
    rows: int,
) -> list[Line]:
    """Trends beside each other, then the strips; none without a sample or in too few rows.

    Args:
        now: what the titles say.
        samples: of the last minute, the oldest first.
        equipment: what the aircraft has.
        looks: of the panel's lamps.
        width: of the lines.
        rows: at most so many lines.
    """
    if not samples or rows < LEAST_ROWS:
        return []
    trends = list(_trends(now, samples, equipment))[: max((width + 2) // (_LEAST_WIDTH + 2), 1)]
    cells = (width + 2) // len(trends) - 2
    lines: list[list[TextSpan]] = [[] for _ in range(LEAST_ROWS)]
    for trend in trends:
        for line, spans in zip(
            lines, draw_trend(trend, tuple(samples), cells, LEAST_ROWS), strict=True
        ):
            line += [TextSpan("  " if line else ""), *spans]
    done = [row(line, width) for line in lines]
    if rows >= LEAST_ROWS + STRIPS:
        done += strip_lines(samples, looks, width)
    return done


@lru_cache(maxsize=128)
def draw_trend(
    trend: Trend, samples: tuple[ShownMoment, ...], width: int, rows: int, *, edge: int = 0
) -> list[Line]:
    """A title and ``rows`` - 1 lines of dots; amber with a sign while a limit is passed.

    Samples come twice a second, and a page is drawn more often: drawings are kept.

    Args:
        trend: to draw.
        samples: of the last minute, the oldest first.
        width: of the lines.
        rows: number of lines.
        edge: empty cells at both sides.
    """
    cells = width - 2 * edge
    lines = [_title(trend, cells), *_curve(trend, samples, cells, rows - 1)]
    if not edge:
        return lines
    space = TextSpan(" " * edge)
    return [(space, *line, space) for line in lines]


def _title(trend: Trend, width: int) -> Line:
    room = width - len(trend.now)
    name = trend.title
    if trend.beyond is not None:
        name = f"{BEYOND} {name} {trend.beyond.word}"
    words = limit_words(trend.limits, room - len(name) - 3)
    if trend.unit and not words:
        words = f"0 to {number_text(trend.scale[1], trend.unit).strip()}"
    gap = TextSpan(" " if trend.now else "")
    spans = [
        TextSpan(fit(name, room - len(words) - len(gap.text)), _style(trend, TextStyle.QUIET)),
        TextSpan(words, TextStyle.STATUS),
        gap,
        TextSpan(fit_right(trend.now, width - room), _style(trend, TextStyle.TEXT)),
    ]
    return row(spans, width)


def _style(trend: Trend, within: TextStyle) -> TextStyle:
    return within if trend.beyond is None else TextStyle.CAUTION


def _curve(trend: Trend, samples: tuple[ShownMoment, ...], width: int, rows: int) -> Sequence[Line]:
    style = _style(trend, TextStyle.QUIET)
    levels = tuple([limit.value for limit in trend.limits if limit.value is not None])
    scaled = TrendCurve(trend.names, trend.scale, levels, style, bool(trend.unit))
    return draw_curve(scaled, samples, width, rows)


def value_trend(
    look: ValueLook, now: ShownMoment, samples: Sequence[ShownMoment], equipment: Equipment
) -> Trend:
    """The trend of one value, without its number of now: that has a row of its own."""
    limits = tuple(equipment.limits.get(look.name, ()))
    scale = scale_of((look.name,), tuple(samples), limits, look.full_scale)
    beyond = passed_limit(look.name, now, equipment)
    title = words_of_name(look.label)
    return Trend(title, (look.name,), scale, unit=look.unit, limits=limits, beyond=beyond)


@lru_cache(maxsize=128)
def scale_of(
    names: tuple[str, ...],
    samples: tuple[ShownMoment, ...],
    limits: tuple[ValueLimit, ...],
    least_top: float = 0.0,
) -> tuple[float, float]:
    """Bottom and top of a scale that holds zero, the limits and every sample."""
    levels = [limit.value for limit in limits if limit.value is not None]
    seen = [number for name in names for number in numbers_of(samples, name)]
    known = [number for number in seen if number is not None]
    highest = max([*known, *levels, 0.0])
    top = least_top if highest <= least_top else highest * _HEADROOM
    bottom = min([*known, 0.0]) * _HEADROOM
    return bottom, top if top > bottom else bottom + 1.0


def _trends(
    now: ShownMoment, samples: Sequence[ShownMoment], equipment: Equipment
) -> Iterator[Trend]:
    """The trends of the panel page."""
    scales = {look.name: look.full_scale or _FULL_PSI for look in equipment.gauges}

    def drawn(
        title: str, names: Sequence[str], text: Callable[[list[float | None]], str], top: float
    ) -> Trend:
        limits = tuple(equipment.limits.get(names[0], ()))
        found = (passed_limit(name, now, equipment) for name in names)
        beyond = next((limit for limit in found if limit is not None), None)
        values = text([now.number(name) for name in names])
        return Trend(title, tuple(names), (0.0, top), values, "", limits, beyond)

    if _PRESSURE in scales:
        yield drawn("pressure", [_PRESSURE], _numbers("psi"), scales[_PRESSURE])
    limits = tuple(equipment.limits.get(_SPEED, ()))
    _, top = scale_of((_SPEED,), tuple(samples), limits, _LEAST_SCALE_KT)
    yield drawn("airspeed", [_SPEED], _numbers("kt"), top)
    percents = " ".join(UNKNOWN if at is None else f"{at * 100:.0f}" for at in now.travels)
    yield Trend("legs down", now.legs, (0.0, 1.0), f"{percents} %")
    if brakes := [name for name in (_LEFT, _RIGHT) if name in scales]:
        yield drawn("brakes", brakes, _numbers("psi"), scales[brakes[0]])


def _numbers(unit: str) -> Callable[[list[float | None]], str]:
    def text(values: list[float | None]) -> str:
        found = " ".join(UNKNOWN if value is None else f"{value:.0f}" for value in values)
        return found if found == UNKNOWN else f"{found} {unit}"

    return text
