"""The current budget: sums of currents against the limits of data sheets.

Every lamp is counted as lit and every sounder as sounding: a lamp test lights them all at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from operator import attrgetter

from msgspec import Struct

from panelbridge.config.electrics.keys import BOARD_SUPPLY
from panelbridge.config.pin_names import BITS_OF_CHIP
from panelbridge.config.words import runs
from panelbridge.wiring.electrics.chips import OUTPUT_REGISTER, ChipLimits
from panelbridge.wiring.electrics.circuits import Circuit
from panelbridge.wiring.electrics.currents import NO_CURRENT, CurrentRange, steady, total
from panelbridge.wiring.electrics.port_pins import PORT_PINS
from panelbridge.wiring.electrics.sources import FigureSource
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart

BOARD_OWN_MA = 50.0
"""What a board takes for itself, mA."""
USB_PORT_MA = 500.0
HUB_PORT_MA = 100.0
HUB_MA = 400.0
"""What a hub without a supply has left of its own port's 500 mA."""
# F-11, O-8.
_USB = FigureSource("USB standard 2.0, 7.2.1", "M")
_OWN_SUPPLY = FigureSource("the panel file", "C")
_ROUNDING_MA = 1e-6


class BudgetLine(Struct, frozen=True):
    """A sum of currents and its limit.

    Attributes:
        subject: what the limit holds for, in words.
        current: the sum.
        limit_ma: what it may be, mA.
        is_absolute: beyond it something is damaged; otherwise figures are no longer guaranteed.
        source: where the limit comes from.
        place: the key of the panel file that it belongs to.
        parts: what adds to it, the largest first; each once.
        board: name of its board; empty for a supply or a hub.
    """

    subject: str
    current: CurrentRange
    limit_ma: float
    is_absolute: bool
    source: FigureSource
    place: tuple[str, ...]
    parts: tuple[WiredPart, ...] = ()
    board: str = ""

    @property
    def is_passed(self) -> bool:
        """The worst case is beyond the limit."""
        return self.current.worst_ma > self.limit_ma + _ROUNDING_MA


def budget(panel: WiredPanel) -> list[BudgetLine]:
    """Every sum of a panel: pins, port groups, chips, shift registers, boards, hubs, supplies."""
    lines: list[BudgetLine] = []
    for board in panel.boards.values():
        if board.chip is not None:
            lines.extend(_pins(board, board.chip))
            lines.extend(_groups(board, board.chip))
            lines.extend(_chip(board, board.chip))
        lines.extend(_registers(board))
        lines.extend(_usb(board))
    lines.extend(_hub(panel))
    lines.extend(_supplies(panel))
    return lines


def board_current(board: WiredBoard) -> CurrentRange:
    """What a board takes from its USB port or supply, with all that is fed through it."""
    return steady(BOARD_OWN_MA) + total(_fed_by_board(part.circuit) for part in board.parts)


def _fed_by_board(circuit: Circuit) -> CurrentRange:
    into_driver = circuit.at_pin if circuit.driver is not None else NO_CURRENT
    return into_driver + (circuit.load if circuit.supply == BOARD_SUPPLY else NO_CURRENT)


def _largest_first(
    parts: Iterable[WiredPart], share: Callable[[Circuit], CurrentRange]
) -> tuple[WiredPart, ...]:
    """The parts that add something, each once."""
    amounts = {part.place: (share(part.circuit).worst_ma, part) for part in parts}
    ordered = sorted(amounts.values(), key=lambda pair: -pair[0])
    return tuple(part for amount, part in ordered if amount)


def _line(
    board: WiredBoard,
    subject: str,
    parts: Sequence[WiredPart],
    limit_ma: float,
    source: FigureSource,
    place: tuple[str, ...],
    *,
    is_absolute: bool = True,
) -> BudgetLine:
    current = total(part.circuit.at_pin for part in parts)
    ordered = _largest_first(parts, attrgetter("at_pin"))
    return BudgetLine(
        subject, current, limit_ma, is_absolute, source, place, ordered, board.name
    )  # fmt: skip


def _pins(board: WiredBoard, chip: ChipLimits) -> Iterator[BudgetLine]:
    for pin, part in board.pins.items():
        key = next(key for key, name in part.pins.items() if name == pin)
        subject, place = f"pin {pin} of board '{board.name}'", (*part.place, key)
        over = part.circuit.at_pin.worst_ma > chip.pin_most_ma + _ROUNDING_MA
        limit_ma = chip.pin_most_ma if over else chip.pin_tested_ma
        yield _line(board, subject, [part], limit_ma, chip.pin_source, place, is_absolute=over)


def _groups(board: WiredBoard, chip: ChipLimits) -> Iterator[BudgetLine]:
    ports = PORT_PINS.get(board.hardware.kind, {})
    for group in chip.groups:
        pins = [pin for pin, port in ports.items() if port in group.ports]
        if not pins:  # a board that the panel file describes: its pins' ports are not known
            continue
        names = runs(pins, "and")
        parts = [board.pins[pin] for pin in pins if pin in board.pins]
        for sinks, ways, has in _WAYS:
            if has(group):
                ours = [part for part in parts if part.circuit.sinks is sinks]
                subject = f"currents {ways} pins {names} of board '{board.name}'"
                place = ("boards", board.name)
                yield _line(board, subject, ours, group.limit_ma, group.source, place)


_WAYS = (
    (True, "into", attrgetter("sinks")),
    (False, "out of", attrgetter("sources")),
)


def _chip(board: WiredBoard, chip: ChipLimits) -> Iterator[BudgetLine]:
    place = ("boards", board.name)
    for sinks, limit_ma in ((False, chip.chip_sourced_ma), (True, chip.chip_sunk_ma)):
        parts = [part for part in board.pins.values() if part.circuit.sinks is sinks]
        ways = "into" if sinks else "out of"
        subject = f"currents {ways} all pins of board '{board.name}' ({chip.title})"
        yield _line(board, subject, parts, limit_ma, chip.chip_source, place)


def _registers(board: WiredBoard) -> Iterator[BudgetLine]:
    for chain in board.chains.values():
        if chain.entry.form != "outputs":
            continue
        source = OUTPUT_REGISTER.source
        by_chip: defaultdict[int, list[WiredPart]] = defaultdict(list)
        for bit, part in sorted(chain.bits.items()):
            by_chip[bit // BITS_OF_CHIP].append(part)
            subject, place = f"output {chain.name}.{bit}", (*part.place, "pin")
            yield _line(board, subject, [part], OUTPUT_REGISTER.output_most_ma, source, place)
        for chip, parts in by_chip.items():
            subject = f"chip {chip + 1} of chain '{chain.name}' ({OUTPUT_REGISTER.title})"
            place = ("boards", board.name, "chains", chain.name)
            yield _line(board, subject, parts, OUTPUT_REGISTER.chip_most_ma, source, place)


def _usb(board: WiredBoard) -> Iterator[BudgetLine]:
    limits = {"usb_port": USB_PORT_MA, "bus_powered_hub": HUB_PORT_MA}
    limit_ma = limits.get(board.entry.powered_by)
    if limit_ma is not None:
        thing = "USB port" if board.entry.powered_by == "usb_port" else "port of the hub"
        subject = f"the {thing} of board '{board.name}'"
        place = ("boards", board.name, "powered_by")
        parts, current = _largest_first(board.parts, _fed_by_board), board_current(board)
        yield BudgetLine(subject, current, limit_ma, True, _USB, place, parts, board.name)


def _hub(panel: WiredPanel) -> Iterator[BudgetLine]:
    boards = [b for b in panel.boards.values() if b.entry.powered_by == "bus_powered_hub"]
    if len(boards) > 1:
        current = total(board_current(board) for board in boards)
        place = ("boards", boards[-1].name, "powered_by")
        yield BudgetLine("all boards at the hub", current, HUB_MA, True, _USB, place)


def _supplies(panel: WiredPanel) -> Iterator[BudgetLine]:
    for name, supply in panel.supplies.items():
        if supply.limit_ma is not None:
            parts = [part for part in panel.parts if part.circuit.supply == name]
            current = total(part.circuit.load for part in parts)
            place = ("electrics", "supplies", name)
            subject = f"the supply '{name}'"
            ordered = _largest_first(parts, attrgetter("load"))
            yield BudgetLine(
                subject, current, supply.limit_ma, True, _OWN_SUPPLY, place, ordered
            )  # fmt: skip
