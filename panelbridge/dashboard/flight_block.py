"""The aircraft, its hydraulic pressure and steering, and the lamps that belong to no leg."""

from __future__ import annotations

from panelbridge.dashboard.equipment import Equipment
from panelbridge.dashboard.lamps import LampPlan, name_width
from panelbridge.dashboard.pieces import (
    Line,
    Look,
    Piece,
    bar,
    fit,
    fit_right,
    heading,
    row,
    width_of,
)
from panelbridge.dashboard.words import MISSING, UNKNOWN
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import GearPosition, Outputs

LABEL = 10
_PAIR_WIDTH = 38
"""From here on two values stand in one row."""


def number(value: float | None, unit: str, width: int, signs: int = 0) -> Piece:
    """A value with its unit in columns that stay where they are."""
    if value is None:
        return Piece(fit(fit_right(UNKNOWN, 6), width), Look.QUIET)
    return Piece(fit(f"{fit_right(f'{value:.{signs}f}', 6)} {unit}", width))


def pressure_psi(snapshot: Snapshot) -> float | None:
    """What the panel's gauge shows; the aircraft's own value for a panel without that gauge."""
    shown = snapshot.outputs.gauges.get("hydraulic_pressure")
    return snapshot.aircraft.hydraulic_pressure_psi if shown is None else shown


def pressure_row(snapshot: Snapshot, full_scale_psi: float, width: int) -> Line:
    """Hydraulic pressure as a number and a bar."""
    value = pressure_psi(snapshot)
    level = None if value is None else value / full_scale_psi
    bar_width = max(min(width - LABEL - 13, 20), 0)
    return row(
        [
            Piece(fit(" Pressure", LABEL)),
            number(value, "psi", 11),
            Piece(" "),
            Piece(bar(level, bar_width), Look.QUIET if value is None else Look.TEXT),
        ],
        width,
    )


def throttle_row(snapshot: Snapshot, width: int) -> Line:
    """Every engine's lever in percent."""
    levers = snapshot.aircraft.throttle_fraction
    line = [Piece(fit(" Throttle", LABEL))]
    if not levers:
        line.append(Piece(fit_right(UNKNOWN, 6), Look.QUIET))
    for value in levers:
        text = UNKNOWN if value is None else f"{value:.0%}"
        line.append(Piece(fit_right(text, 6), Look.QUIET if value is None else Look.TEXT))
    return row(line, width)


def where_row(snapshot: Snapshot, width: int, *, steering_fitted: bool = True) -> Line:
    """On the ground or in the air, and whether nose-wheel steering is engaged."""
    where = "▼ on ground" if snapshot.logic.on_ground else "▲ in air"
    if not steering_fitted:
        return row([Piece(fit(f" {where}", 14), Look.STRONG)], width)
    steering = (
        Piece("● STEERING", Look.GOOD)
        if snapshot.logic.steering_engaged
        else Piece("○ steering off", Look.QUIET)
    )
    return row([Piece(fit(f" {where}", 14), Look.STRONG), steering], width)


def gear_row(snapshot: Snapshot, width: int) -> Line:
    """Where the legs are asked to go, and whether they are there."""
    logic = snapshot.logic
    line = [Piece(fit(" Gear", LABEL))]
    if logic.gear_demand is None:
        line.append(Piece(" ○ nothing asked ", Look.QUIET))
    else:
        sign = "▲" if logic.gear_demand is GearPosition.UP else "▼"
        line.append(Piece(fit(f" {sign} asked {logic.gear_demand}", 15)))
    if logic.gear_disagrees:
        line.append(Piece("! disagrees", Look.CAUTION))
    return row(line, width)


def flight_heading(snapshot: Snapshot, width: int) -> Line:
    """Where the aircraft's values come from, and whether they can be trusted."""
    fresh = (
        Piece("● fresh ", Look.GOOD)
        if snapshot.feed_fresh
        else Piece("! NO FRESH DATA ", Look.ALARM)
    )
    line = [Piece(" Aircraft ", Look.HEADING), Piece("─ ", Look.RULE), fresh]
    left = width - width_of(tuple(line)) - 1
    if snapshot.feed_name and len(snapshot.feed_name) + 1 <= left:
        line.append(Piece(f"{snapshot.feed_name} ", Look.QUIET))
        left -= len(snapshot.feed_name) + 1
    line.append(Piece("─" * max(left, 0), Look.RULE))
    return row(line, width)


def flight_block(
    snapshot: Snapshot, full_scale_psi: float, width: int, equipment: Equipment | None = None
) -> list[Line]:
    """A heading and the aircraft's values."""
    equipment = equipment or Equipment()
    aircraft = snapshot.aircraft
    speed = [Piece(fit(" Airspeed", LABEL)), number(aircraft.airspeed_kias, "kt", 10)]
    height = [Piece(fit(" Altitude", LABEL)), number(aircraft.altitude_ft, "ft", 9)]
    flaps = [Piece(fit(" Flaps", LABEL)), number(aircraft.flap_deg, "deg", 10)]
    lines = [
        flight_heading(snapshot, width),
        where_row(snapshot, width, steering_fitted=equipment.steering),
    ]
    if width >= _PAIR_WIDTH:
        lines += [gear_row(snapshot, width), row(speed + height, width)]
    else:
        lines += [row(speed, width), row(height, width)]
    lines += [row(flaps, width), throttle_row(snapshot, width)]
    if equipment.pressure:
        lines.append(pressure_row(snapshot, full_scale_psi, width))
    return lines


def lamp_block(lamps: LampPlan, outputs: Outputs, width: int, rows: int = 1000) -> list[Line]:
    """The lamps that stand in no leg's row, in one column under a heading.

    Where ``rows`` do not hold them all, those that are not known to be dark.
    """
    cells = width - 2
    shown = lamps.others
    titles, rest = "Other lamps", ""
    if len(shown) + 1 > rows:
        titles = "Other lamps that are lit"
        lit = [look for look in shown if lamps.shines(look, outputs)]
        shown = tuple(lit[: rows - 2])
        more = len(lit) - len(shown)
        rest = f"{more} more lit" if more else f"{len(lamps.others) - len(lit)} others"
    name = name_width(map(lamps.label, lamps.others), cells - 4)
    lines = [heading([(titles, 13)], width)]
    for look in shown:
        lines.append(row([Piece(" "), *lamps.named_cell(look, outputs, name, cells)], width))
    if not lamps.others:
        lines.append(row([Piece(f" {MISSING} none fitted", Look.QUIET)], width))
    if rest:
        lines.append(row([Piece(f" ▼ {rest} on page 4", Look.QUIET)], width))
    return lines


def lamp_rows(lamps: LampPlan, outputs: Outputs, width: int) -> list[Line]:
    """The same lamps in rows after a label, for screens with few lines."""
    room = width - LABEL + 1
    state = len("● LIT 100%") if width >= 70 else len("○ dark")
    name = name_width(map(lamps.label, lamps.others), min(room, 34))
    cell = name + state + 2
    across = max(room // cell, 1)
    lines: list[Line] = []
    for at in range(0, len(lamps.others), across):
        line = [Piece(fit("" if at else " Lamps", LABEL - 1), Look.HEADING)]
        for look in lamps.others[at : at + across]:
            line += row(lamps.named_cell(look, outputs, name, cell - 2), cell)
        lines.append(row(line, width))
    return lines
