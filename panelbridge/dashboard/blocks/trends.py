"""The last minute: trends of speed, pressure, legs and brakes; horn and lamps as strips below."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from panelbridge.dashboard.history import EACH_S, SPAN_S, ShownMoment
from panelbridge.dashboard.interfaces import Equipment, LampLook
from panelbridge.dashboard.text.dots import dotted
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, fit_right, row
from panelbridge.dashboard.text.state_words import LAMP_SIGNS, UNKNOWN

TREND_ROWS = 2
STRIPS = 2
LEAST_ROWS = 1 + TREND_ROWS
"""Title and curve; with ``STRIPS`` rows more the strips too."""
_LEAST_WIDTH = 26
_LABEL = 7
_LEAST_SCALE_KT = 150.0
_FULL_PSI = 4000.0
_PRESSURE, _LEFT, _RIGHT = "hydraulic_pressure", "left_brake", "right_brake"
_STYLES = {"red": TextStyle.ALARM, "amber": TextStyle.CAUTION}


@dataclass(frozen=True, slots=True)
class _Trend:
    """A trend: title, value now, and what it draws of a sample, 0 to 1."""

    title: str
    now: str
    curves: Sequence[Callable[[ShownMoment], float | None]]


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
        gap = TextSpan("  " if lines[0] else "")
        room = cells - len(trend.now)
        lines[0] += [
            gap,
            TextSpan(fit(trend.title, room), TextStyle.QUIET),
            TextSpan(fit_right(trend.now, cells - room), TextStyle.TEXT),
        ]
        curves = [
            [None if sample is None else curve(sample) for sample in on_grid(samples, 2 * cells)]
            for curve in trend.curves
        ]
        for at, text in enumerate(dotted(curves, cells, TREND_ROWS), start=1):
            lines[at] += [gap, TextSpan(text, TextStyle.QUIET)]
    done = [row(line, width) for line in lines]
    if rows >= LEAST_ROWS + STRIPS:
        grid = on_grid(samples, width - _LABEL)
        done.append(_strip("horn", [_horn_sign(sample) for sample in grid], width))
        done.append(_strip("lamps", [_lamp_sign(sample, looks) for sample in grid], width))
    return done


def on_grid(samples: Sequence[ShownMoment], columns: int) -> list[ShownMoment | None]:
    """The sample for each of ``columns`` equal parts of the last minute; None where none was."""
    end_s = samples[-1].time_s
    found: list[ShownMoment | None] = []
    at = 0
    for column in range(columns):
        time_s = end_s - SPAN_S * (columns - 1 - column) / max(columns - 1, 1)
        while at + 1 < len(samples) and samples[at + 1].time_s <= time_s:
            at += 1
        sample = samples[at]
        near = sample.time_s <= time_s < sample.time_s + 3 * EACH_S
        found.append(sample if near else None)
    return found


def _trends(
    now: ShownMoment, samples: Sequence[ShownMoment], equipment: Equipment
) -> Iterator[_Trend]:
    speeds = [one.airspeed_kias for one in samples if one.airspeed_kias is not None]
    top = max([*speeds, _LEAST_SCALE_KT])
    scales = {look.name: look.full_scale or _FULL_PSI for look in equipment.gauges}

    def gauge(name: str) -> Callable[[ShownMoment], float | None]:
        return lambda sample: _part(dict(sample.gauges).get(name), scales[name])

    def text(value: float | None, unit: str) -> str:
        return UNKNOWN if value is None else f"{value:.0f} {unit}"

    if _PRESSURE in scales:
        pressure = dict(now.gauges).get(_PRESSURE)
        yield _Trend("pressure", text(pressure, "psi"), [gauge(_PRESSURE)])
    yield _Trend(
        "airspeed", text(now.airspeed_kias, "kt"), [lambda sample: _part(sample.airspeed_kias, top)]
    )
    legs = range(len(now.travels))
    percents = " ".join(UNKNOWN if at is None else f"{at * 100:.0f}" for at in now.travels)
    yield _Trend("legs down", f"{percents} %", [_travel(leg) for leg in legs])
    brakes = [name for name in (_LEFT, _RIGHT) if name in scales]
    if brakes:
        values = [dict(now.gauges).get(name) for name in brakes]
        found = " ".join(UNKNOWN if value is None else f"{value:.0f}" for value in values)
        yield _Trend("brakes", f"{found} psi", [gauge(name) for name in brakes])


def _travel(leg: int) -> Callable[[ShownMoment], float | None]:
    return lambda sample: sample.travels[leg] if leg < len(sample.travels) else None


def _part(value: float | None, scale: float) -> float | None:
    return None if value is None else value / scale


_Sign = tuple[str, TextStyle]


def _horn_sign(sample: ShownMoment | None) -> _Sign:
    if sample is None:
        return " ", TextStyle.EDGE
    if not sample.link:
        return UNKNOWN, TextStyle.CAUTION
    return ("■", TextStyle.ALARM) if sample.horn else ("·", TextStyle.EDGE)


def _lamp_sign(sample: ShownMoment | None, looks: Sequence[LampLook]) -> _Sign:
    """The most urgent colour that was lit."""
    if sample is None:
        return " ", TextStyle.EDGE
    if not sample.link:
        return UNKNOWN, TextStyle.CAUTION
    lit = {look.colour for look in looks if look.name in sample.lamps}
    for colour, style in _STYLES.items():
        if colour in lit:
            return LAMP_SIGNS[colour], style
    return "·", TextStyle.EDGE


def _strip(label: str, signs: Sequence[_Sign], width: int) -> Line:
    spans = [TextSpan(fit(label, _LABEL), TextStyle.QUIET)]
    for sign, style in signs:
        if spans[-1].style is style and len(spans) > 1:
            spans[-1] = TextSpan(spans[-1].text + sign, style)
        else:
            spans.append(TextSpan(sign, style))
    return row(spans, width)
