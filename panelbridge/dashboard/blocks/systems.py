"""The systems of the aircraft: their values, gauges, commands to the simulator, aircraft data."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from panelbridge.dashboard.blocks.header import live_boards, no_data_yet
from panelbridge.dashboard.blocks.limits import beyond, judged, passed_limit
from panelbridge.dashboard.blocks.value_cells import (
    NUMBER_WIDTH,
    item_at,
    number_span,
    value_span,
)
from panelbridge.dashboard.history import moment_of
from panelbridge.dashboard.interfaces import Equipment, ValueLimit
from panelbridge.dashboard.text.columns import Block
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    fit,
    heading,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import (
    DOWN,
    MISSING,
    OFF,
    UNKNOWN,
    UP,
    unknown_span,
    yes_no_span,
)
from panelbridge.dashboard.text.wrapping import wrap
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import GearPosition, Value

LEAST_COLUMN = 38
"""Narrower columns do not hold a label with its value."""
AIRCRAFT, CONTROLS = "Aircraft data", "Pedals and wheels"
COMMANDS, GAUGES, FAULTS = "Simulator commands", "Gauges", "Faults"
"""Titles of the sections that belong to no system."""
CONTINUES = "   "
"""A line that begins so belongs to the one above it."""
_CONSUMER_ROWS = 2
_MOST_LABEL = 26
_LEAST_LABEL = 12
_VALUE_WIDTH = 13
_STATE_WIDTH = 10


def label_width(width: int) -> int:
    """Cells for labels in a column of ``width`` cells."""
    return max(min(_MOST_LABEL, width - _VALUE_WIDTH), 0)


def _labelled(label: str, line: list[TextSpan], width: int) -> Line:
    # A long word takes room from its label instead of losing its end.
    needed = max((len(span.text.rstrip()) for span in line), default=0)
    cells = max(min(label_width(width), width - needed), _LEAST_LABEL)
    return row([TextSpan(fit(f" {label}", cells - 1)), TextSpan(" "), *line], width)


def _block(title: str, lines: list[Line], width: int) -> Block:
    return [heading([(title, len(title) + 3)], width), *lines]


def _rows(values: Iterable[tuple[str, TextSpan]], width: int) -> list[Line]:
    return [_value_row(label, span, width) for label, span in values]


@lru_cache(maxsize=1024)
def _value_row(label: str, span: TextSpan, width: int) -> Line:
    """Most values are the same from drawing to drawing."""
    return _labelled(label, [span], width)


def system_blocks(snapshot: Snapshot, equipment: Equipment, width: int) -> list[Block]:
    """A block for each system that publishes values."""
    values, moment = snapshot.logic.values, moment_of(snapshot)
    found: list[Block] = []
    for title, looks in equipment.systems.items():
        names = [look.name for look in looks]
        passed = [passed_limit(name, moment, equipment) for name in names]
        known = [(name, values[name]) for name in names if name in values]
        found.append(_system_block(equipment, title, tuple(known), tuple(passed), width))
    return found


@lru_cache(maxsize=128)
def _system_block(
    equipment: Equipment,
    title: str,
    known: tuple[tuple[str, Value], ...],
    passed: tuple[ValueLimit | None, ...],
    width: int,
) -> Block:
    """The block of a system; in most of them nothing changes from drawing to drawing."""
    looks, values = equipment.systems[title], dict(known)
    spans = [value_span(look, values, width - label_width(width)) for look in looks]
    rows = [
        (words_of_name(look.label), beyond(span, limit))
        for look, span, limit in zip(looks, spans, passed, strict=True)
    ]
    return _block(title, _rows(rows, width), width)


def command_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """The commands to the simulator; all unknown before the first snapshot."""
    commands, cells = snapshot.commands, width - label_width(width)

    def yes_no(value: bool, yes: str, no: str) -> TextSpan:
        return yes_no_span(value, yes, no, cells)

    has = equipment
    rows = [
        (True, "gear", _gear_span(commands.gear, cells)),
        (
            has.emergency_extend,
            "emergency extension",
            yes_no(commands.emergency_extend, "active", "off"),
        ),
        (has.aux_pump, "auxiliary pump", yes_no(commands.aux_pump, "run", "stop")),
        (has.steering, "steering", yes_no(commands.steering_engaged, "engaged", "off")),
        (has.steering, "nose wheel", number_span(commands.steering_deg, "degrees", cells)),
        (has.wheel_lock, "wheel lock", yes_no_span(commands.wheel_locked, "locked", "free", cells)),
    ]
    for at, wheel in enumerate(has.wheels):
        brake = number_span(item_at(commands.brake_fraction, at), "%", cells)
        rows.append((True, f"brake {words_of_name(wheel)}", brake))
    rows += [
        (has.parking_brake, "parking brake", yes_no(commands.parking_brake, "set", "released")),
        (has.antiskid, "anti-skid", yes_no(commands.antiskid, "active", "off")),
    ]
    own = dict(commands.own_switches)
    for name in has.own_switches:
        rows.append((True, words_of_name(name), _own_span(own.get(name), cells)))
    values = [(label, span) for fitted, label, span in rows if fitted]
    names = ", ".join(map(words_of_name, commands.consumers))
    consumers = TextSpan(names) if names else TextSpan(f"{OFF} none", TextStyle.QUIET)
    if no_data_yet(snapshot):
        values = [(label, unknown_span(cells)) for label, _ in values]
        consumers = TextSpan(f"{UNKNOWN} unknown", TextStyle.QUIET)
    lines = _rows(values, width)
    if equipment.consumers:
        lines.append(_labelled("hydraulic consumers", [], width))
        texts = wrap(consumers.text, max(width - 4, 4))
        # What stands below keeps its place while consumers come and go.
        texts += [""] * (_CONSUMER_ROWS - len(texts))
        for text in texts:
            lines.append(row([TextSpan(f"{CONTINUES}{text}", consumers.style)], width))
    return _block(COMMANDS, lines, width)


def _own_span(value: Value, cells: int) -> TextSpan:
    if value is None:
        return unknown_span(cells)
    if isinstance(value, float):
        return number_span(value, "%", cells)
    return TextSpan(fit(str(value), cells), TextStyle.STRONG)


def _gear_span(gear: GearPosition | None, width: int) -> TextSpan:
    if gear is None:
        return TextSpan(fit(f"{OFF} none", width), TextStyle.QUIET)
    return TextSpan(
        fit(f"{UP if gear is GearPosition.UP else DOWN} {gear}", width), TextStyle.STRONG
    )


def gauge_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """Gauges and solenoids: their values, and why one is not known to follow."""
    if not equipment.gauges and not equipment.solenoids:
        return []
    lines: list[Line] = []
    cells, moment = width - label_width(width), moment_of(snapshot)
    wide = cells >= NUMBER_WIDTH + 5 + _STATE_WIDTH
    for gauge in equipment.gauges:
        value = number_span(snapshot.outputs.gauges.get(gauge.name), gauge.unit, cells)
        missing = why_not_known(snapshot, equipment.boards.get(gauge.name))
        line = [missing or judged(value, gauge.name, moment, equipment)]
        if missing and wide:
            line = [TextSpan(fit(value.text.rstrip(), NUMBER_WIDTH + 5), value.style), missing]
        lines.append(_labelled(gauge.label, line, width))
    for solenoid in equipment.solenoids:
        on = snapshot.outputs.solenoids.get(solenoid.name)
        span = why_not_known(snapshot, equipment.boards.get(solenoid.name))
        span = span or yes_no_span(on, "engaged", "released", cells)
        lines.append(_labelled(solenoid.label, [span], width))
    return _block(GAUGES, lines, width)


def why_not_known(snapshot: Snapshot, board: str | None) -> TextSpan | None:
    """Why a gauge or a solenoid is not known to follow; None when it is."""
    if board is None:
        return TextSpan(f"{MISSING} not fitted", TextStyle.QUIET)
    if board and board not in live_boards(snapshot):
        return TextSpan(f"{UNKNOWN} no link", TextStyle.QUIET)
    return None


def aircraft_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """The feed's data, as far as the aircraft's systems use it."""
    aircraft, cells = snapshot.aircraft, width - label_width(width)

    def number(value: float | None, unit: str) -> TextSpan:
        return number_span(value, unit, cells)

    speed = number(aircraft.airspeed_kias, "knots")
    rows = [
        ("airspeed", judged(speed, "airspeed_kias", moment_of(snapshot), equipment)),
        ("ground speed", number(aircraft.ground_speed_kt, "knots")),
        ("altitude", number(aircraft.altitude_ft, "ft")),
        ("flaps", number(aircraft.flap_deg, "degrees")),
        ("electric power", yes_no_span(aircraft.bus_powered, "yes", "no", cells)),
    ]
    for at in range(equipment.engines):
        throttle = item_at(aircraft.throttle_fraction, at)
        rows.append((f"throttle {at + 1}", number(throttle, "%")))
    if equipment.consumers:
        for at in range(equipment.engines):
            running = item_at(aircraft.engine_running, at)
            rows.append((f"engine {at + 1} running", yes_no_span(running, "yes", "no", cells)))
    return _block(AIRCRAFT, _rows(rows, width), width)


def control_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """The feed's pedals and wheels, as far as the aircraft's systems use them."""
    aircraft, cells = snapshot.aircraft, width - label_width(width)

    def number(value: float | None, unit: str) -> TextSpan:
        return number_span(value, unit, cells)

    rows: list[tuple[str, TextSpan]] = []
    if equipment.wheels:
        for at, side in enumerate(("left", "right")):
            pedal = item_at(aircraft.brake_pedal_fraction, at)
            rows.append((f"{side} brake pedal", number(pedal, "%")))
    if equipment.antiskid:
        for at, wheel in enumerate(equipment.wheels):
            speed = number(item_at(aircraft.wheel_speed_rpm, at), "rpm")
            rows.append((f"wheel {words_of_name(wheel)}", speed))
    if equipment.steering:
        rows.append(("steering pedals", number(aircraft.steering_pedal_fraction, "%")))
    return _block(CONTROLS, _rows(rows, width), width)


def fault_block(snapshot: Snapshot, width: int) -> Block:
    """Every fault in full."""
    lines = [
        row([TextSpan(f"{CONTINUES if at else ' X '}{text}", TextStyle.ALARM)], width)
        for fault in snapshot.logic.faults
        for at, text in enumerate(wrap(fault, max(width - 4, 4)))
    ]
    return _block(FAULTS, lines, width)
