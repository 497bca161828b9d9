"""The aircraft on the overview: source of its data, speed, gear, throttles, pressure."""

from __future__ import annotations

from panelbridge.dashboard.blocks.value_cells import NUMBER_WIDTH, number_span
from panelbridge.dashboard.interfaces import Equipment
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    bar,
    fit,
    fit_right,
    row,
    width_of,
)
from panelbridge.dashboard.text.state_words import DOWN, UNKNOWN, UP
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import GearPosition

LABEL_WIDTH = 10
_PAIR_WIDTH = 38
"""Least width of a row with two values."""


def _label(text: str) -> TextSpan:
    return TextSpan(fit(f" {text}", LABEL_WIDTH))


def _pressure_row(snapshot: Snapshot, full_scale_psi: float, width: int) -> Line:
    """The panel's gauge; the aircraft's own pressure for a panel without that gauge."""
    value = snapshot.outputs.gauges.get("hydraulic_pressure")
    if value is None:
        value = snapshot.aircraft.hydraulic_pressure_psi
    level = None if value is None else value / full_scale_psi
    text = bar(level, max(min(width - LABEL_WIDTH - 13, 20), 0))
    level_bar = TextSpan(text, TextStyle.QUIET if value is None else TextStyle.TEXT)
    return row([_label("Pressure"), number_span(value, "psi", 11), TextSpan(" "), level_bar], width)


def _throttle_row(snapshot: Snapshot, width: int) -> Line:
    line = [_label("Throttle")]
    for value in snapshot.aircraft.throttle_fraction or (None,):
        text = UNKNOWN if value is None else f"{value:.0%}"
        style = TextStyle.QUIET if value is None else TextStyle.TEXT
        line.append(TextSpan(fit_right(text, NUMBER_WIDTH), style))
    return row(line, width)


def _ground_row(snapshot: Snapshot, width: int, *, steering: bool) -> Line:
    """On the ground or in the air, and whether nose-wheel steering is engaged."""
    ground = f"{DOWN} on ground" if snapshot.logic.on_ground else f"{UP} in air"
    line = [TextSpan(fit(f" {ground}", 14), TextStyle.STRONG)]
    if steering and snapshot.logic.steering_engaged:
        line.append(TextSpan("● STEERING", TextStyle.GOOD))
    elif steering:
        line.append(TextSpan("○ steering off", TextStyle.QUIET))
    return row(line, width)


def _gear_row(snapshot: Snapshot, width: int) -> Line:
    """The selected position of the gear, and whether the legs disagree with it."""
    logic = snapshot.logic
    if logic.gear_demand is None:
        selected = TextSpan(fit(" ○ not selected", 17), TextStyle.QUIET)
    else:
        sign = UP if logic.gear_demand is GearPosition.UP else DOWN
        selected = TextSpan(fit(f" {sign} selected {logic.gear_demand}", 17))
    disagrees = TextSpan("! disagrees" if logic.gear_disagrees else "", TextStyle.CAUTION)
    return row([_label("Gear"), selected, disagrees], width)


def _flight_heading(snapshot: Snapshot, width: int) -> Line:
    """The source of the aircraft's data, and whether the data is fresh."""
    fresh = (
        TextSpan("● fresh ", TextStyle.GOOD)
        if snapshot.feed_fresh
        else TextSpan("! NO FRESH DATA ", TextStyle.ALARM)
    )
    line = [TextSpan(" Aircraft ", TextStyle.HEADING), TextSpan("─ ", TextStyle.RULE), fresh]
    name = f"{snapshot.feed_name} "
    left = width - width_of(tuple(line)) - 1
    if snapshot.feed_name and len(name) <= left:
        line.append(TextSpan(name, TextStyle.QUIET))
        left -= len(name)
    line.append(TextSpan("─" * max(left, 0), TextStyle.RULE))
    return row(line, width)


def flight_block(
    snapshot: Snapshot, full_scale_psi: float, width: int, equipment: Equipment
) -> list[Line]:
    """A heading and the aircraft's values."""
    aircraft = snapshot.aircraft
    speed = [_label("Airspeed"), number_span(aircraft.airspeed_kias, "knots", 10)]
    height = [_label("Altitude"), number_span(aircraft.altitude_ft, "ft", 9)]
    flaps = [_label("Flaps"), number_span(aircraft.flap_deg, "degrees", 10, decimals=0)]
    lines = [
        _flight_heading(snapshot, width),
        _ground_row(snapshot, width, steering=equipment.steering),
    ]
    if width >= _PAIR_WIDTH:
        lines += [_gear_row(snapshot, width), row(speed + height, width)]
    else:
        lines += [row(speed, width), row(height, width)]
    lines += [row(flaps, width), _throttle_row(snapshot, width)]
    if equipment.pressure:
        lines.append(_pressure_row(snapshot, full_scale_psi, width))
    return lines
