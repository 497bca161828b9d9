"""The systems of the aircraft: what they say of themselves, what they move, what they ask for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from panelbridge.dashboard.equipment import (
    Equipment,
    GaugeLook,
    SolenoidLook,
    ValueLook,
)
from panelbridge.dashboard.flow import Block
from panelbridge.dashboard.pieces import Line, Look, Piece, fit, fit_right, heading, row, wrap
from panelbridge.dashboard.top_block import live_boards, no_data_yet
from panelbridge.dashboard.words import MISSING, OFF, ON, UNKNOWN
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import GearPosition, Value

LEAST_COLUMN = 38
"""Narrower columns do not hold a label with its value."""
MOST_LABEL = 26
_LEAST_LABEL = 12
_VALUE = 13
_NUMBER = 6
_STATE = 10
_UNITS: Mapping[str, tuple[str, int]] = {
    "psi": ("psi", 0),
    "knots": ("kt", 0),
    "degrees": ("deg", 1),
    "ft": ("ft", 0),
    "l": ("l", 2),
    "s": ("s", 0),
    "%": ("%", 0),  # of a fraction
    "rpm": ("rpm", 0),
}
"""How a unit is written, and how many signs stand after the point."""


def value_piece(look: ValueLook, value: Value, width: int) -> Piece:
    """A value in words; what is unknown is a question mark, whatever its form.

    A word that ``width`` cells do not hold is longer than that.
    """
    if value is None or value == "unknown":
        sign = fit_right(UNKNOWN, _NUMBER) if look.form == "number" else f"{UNKNOWN} unknown"
        return Piece(fit(sign, width), Look.QUIET)
    if isinstance(value, bool):
        return _yes_no(value, "yes", "no", width)
    if isinstance(value, str):
        text = value.replace("_", " ")
        return Piece(text if len(text) > width else fit(text, width), Look.STRONG)
    return Piece(fit(number_text(value, look.unit), width))


def _published(look: ValueLook, values: Mapping[str, Value], width: int) -> Piece:
    if look.nothing and look.name in values and values[look.name] is None:
        return Piece(fit(f"{MISSING} {look.nothing}", width), Look.QUIET)
    return value_piece(look, values.get(look.name), width)


def number_text(value: float, unit: str) -> str:
    """A number with its unit, its digits above those of the rows over and under it."""
    if unit == "%":
        value *= 100.0
    written, signs = _UNITS.get(unit, (unit, 0 if float(value).is_integer() else 1))
    return f"{fit_right(f'{value:.{signs}f}', _NUMBER)} {written}".rstrip()


def _yes_no(value: bool, yes: str, no: str, width: int) -> Piece:
    return (
        Piece(fit(f"{ON} {yes}", width), Look.STRONG)
        if value
        else Piece(fit(f"{OFF} {no}", width), Look.QUIET)
    )


def label_cells(width: int) -> int:
    """Cells for labels in a column of ``width``."""
    return max(min(MOST_LABEL, width - _VALUE), 0)


def _labelled(label: str, pieces: Iterable[Piece], width: int) -> Line:
    line = tuple(pieces)
    # A long word takes from its label rather than lose its end.
    needed = max((len(piece.text.rstrip()) for piece in line), default=0)
    cells = max(min(label_cells(width), width - needed), _LEAST_LABEL)
    return row([Piece(fit(f" {label}", cells - 1)), Piece(" "), *line], width)


def system_blocks(snapshot: Snapshot, equipment: Equipment, width: int) -> list[Block]:
    """A block a system, with every value that it publishes."""
    values, cells = snapshot.logic.values, width - label_cells(width)
    return [
        [
            heading([(system.title, len(system.title) + 3)], width),
            *(
                _labelled(_spaced(look.label), [_published(look, values, cells)], width)
                for look in system.values
            ),
        ]
        for system in equipment.systems
        if system.values
    ]


def command_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """What is asked of the simulator; nothing is known of it before the first snapshot."""
    commands, cells = snapshot.commands, width - label_cells(width)
    lines: list[tuple[str, Piece]] = [("gear", _gear_piece(commands.gear, cells))]

    def yes_no(label: str, value: bool, yes: str, no: str) -> None:
        lines.append((label, _yes_no(value, yes, no, cells)))

    if equipment.emergency_extend:
        yes_no("emergency extension", commands.emergency_extend, "drives legs", "stowed")
    if equipment.aux_pump:
        yes_no("auxiliary pump", commands.aux_pump, "run", "stop")
    if equipment.steering:
        yes_no("steering", commands.steering_engaged, "engaged", "off")
        angle = Piece(fit(number_text(commands.steering_deg, "degrees"), cells))
        lines.append(("nose wheel", angle))
    for at, wheel in enumerate(equipment.wheels):
        brake = value_piece(_look("%"), _at(commands.brake_fraction, at), cells)
        lines.append((f"brake {_spaced(wheel)}", brake))
    if equipment.parking_brake:
        yes_no("parking brake", commands.parking_brake, "holds", "free")
    if equipment.antiskid:
        yes_no("anti-skid", commands.antiskid, "works", "idle")
    if no_data_yet(snapshot):
        unknown = Piece(fit(f"{UNKNOWN} unknown", cells), Look.QUIET)
        lines = [(label, unknown) for label, _ in lines]
    done = [_labelled(label, [piece], width) for label, piece in lines]
    if equipment.consumers:
        done += _consumer_lines(snapshot, width)
    return [heading([("Asked of simulator", 21)], width), *done]


def _gear_piece(gear: GearPosition | None, width: int) -> Piece:
    if gear is None:
        return Piece(fit(f"{OFF} nothing", width), Look.QUIET)
    return Piece(fit(f"{'▲' if gear is GearPosition.UP else '▼'} {gear}", width), Look.STRONG)


def _consumer_lines(snapshot: Snapshot, width: int) -> list[Line]:
    names = ", ".join(name.replace("_", " ") for name in snapshot.commands.consumers)
    text, look = (names, Look.TEXT) if names else (f"{OFF} nothing", Look.QUIET)
    if no_data_yet(snapshot):
        text, look = f"{UNKNOWN} unknown", Look.QUIET
    return [
        _labelled("hydraulics serve", [], width),
        *(row([Piece(f"   {line}", look)], width) for line in wrap(text, max(width - 4, 4))),
    ]


def gauge_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """Gauges and solenoids, whether they are fitted, and whether their board is told."""
    if not equipment.gauges and not equipment.solenoids:
        return []
    lines = [heading([("Gauges", 9)], width)]
    value_cells = width - label_cells(width)
    wide = value_cells >= _NUMBER + 5 + _STATE
    for gauge in equipment.gauges:
        value = snapshot.outputs.gauges.get(gauge.name)
        told = value_piece(ValueLook("", "", unit=gauge.unit), value, value_cells)
        state = _fitting(snapshot, gauge)
        if state and wide:
            pieces = [Piece(fit(told.text.rstrip(), _NUMBER + 5), told.look), state]
        else:
            pieces = [state or told]
        lines.append(_labelled(gauge.label, pieces, width))
    for solenoid in equipment.solenoids:
        on = snapshot.outputs.solenoids.get(solenoid.name)
        piece = _fitting(snapshot, solenoid)
        if piece is None and on is None:
            piece = Piece(f"{UNKNOWN} unknown", Look.QUIET)
        lines.append(
            _labelled(
                solenoid.label, [piece or _yes_no(on is True, "holds", "free", value_cells)], width
            )
        )
    return lines


def _fitting(snapshot: Snapshot, look: GaugeLook | SolenoidLook) -> Piece | None:
    """Why it is not known to obey; None when it is."""
    if not look.fitted:
        return Piece(f"{MISSING} not fitted", Look.QUIET)
    if look.board and look.board not in live_boards(snapshot):
        return Piece(f"{UNKNOWN} no link", Look.QUIET)
    return None


def aircraft_block(snapshot: Snapshot, equipment: Equipment, width: int) -> Block:
    """What the feed says of the aircraft, as far as its systems use it."""
    aircraft, cells = snapshot.aircraft, width - label_cells(width)
    values: list[tuple[str, Value, str]] = [
        ("airspeed", aircraft.airspeed_kias, "knots"),
        ("ground speed", aircraft.ground_speed_kt, "knots"),
        ("altitude", aircraft.altitude_ft, "ft"),
        ("flaps", aircraft.flap_deg, "degrees"),
        ("electric power", aircraft.bus_powered, ""),
    ]
    for at in range(equipment.engines):
        values.append((f"throttle {at + 1}", _at(aircraft.throttle_fraction, at), "%"))
    if equipment.consumers:
        for at in range(equipment.engines):
            values.append((f"engine {at + 1} running", _at(aircraft.engine_running, at), ""))
    if equipment.wheels:
        for at, side in enumerate(("left", "right")):
            pedal = _at(aircraft.brake_pedal_fraction, at)
            values.append((f"{side} brake pedal", pedal, "%"))
    if equipment.antiskid:
        for at, wheel in enumerate(equipment.wheels):
            values.append((f"wheel {_spaced(wheel)}", _at(aircraft.wheel_speed_rpm, at), "rpm"))
    if equipment.steering:
        values.append(("steering pedals", aircraft.steering_pedal_fraction, "%"))
    lines = [
        _labelled(label, [value_piece(_look(unit), value, cells)], width)
        for label, value, unit in values
    ]
    return [heading([("Aircraft data", 15)], width), *lines]


def _look(unit: str) -> ValueLook:
    return ValueLook("", "", "number" if unit else "yes_no", unit)


def _spaced(name: str) -> str:
    return name.replace("_", " ")


def _at(values: Sequence[Value], at: int) -> Value:
    return values[at] if at < len(values) else None


def fault_block(snapshot: Snapshot, width: int) -> Block:
    """Every fault in full."""
    lines = [heading([("Faults", 9)], width)]
    for fault in snapshot.logic.faults:
        for at, text in enumerate(wrap(fault, max(width - 4, 4))):
            lines.append(row([Piece(f" {' ' if at else 'X'} {text}", Look.ALARM)], width))
    return lines
