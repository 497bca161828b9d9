"""Places for everything that has no pin on the boards of one file."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.boards import LAMP_PULSE_HZ, SERVO_PULSE_HZ
from panelbridge.config.chain_check import PIN_KEYS, chains_of
from panelbridge.config.panel_parts.output_entries import HornEntry
from panelbridge.config.panel_short_forms import wired
from panelbridge.config.pin_names import BITS_OF_CHIP
from panelbridge.config.pins_to_plan import CHAIN_PINS
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.wiring.pin_plan.assignment import assign, matched
from panelbridge.wiring.pin_plan.pin_needs import PinNeed
from panelbridge.wiring.pin_plan.pin_options import FreePins, PinOption, PinUse
from panelbridge.wiring.pin_plan.port_loads import PortLoads, port_loads

_TRIES_PER_NEED = 5


class PlannedPin(Struct, frozen=True):
    """A need with its place: a pin, or a bit of a chain."""

    need: PinNeed
    place: str
    use: PinUse


class PinShortage(Struct, frozen=True):
    """Needs that do not fit on a board.

    Attributes:
        board: its name.
        kind: of the board.
        needs: how many pins are missing.
        placed: for how many of them there is a place.
        items: how many items the firmware takes, when there are more than that; 0 otherwise.
    """

    board: str
    kind: str
    needs: int
    placed: int
    items: int = 0


def plan_boards(source: YamlSource, needs: Sequence[PinNeed]) -> list[PlannedPin] | PinShortage:
    """A place for each need, or the first board on which there is none.

    Args:
        source: the panel file in its long form; parts that have no pin have no pin in it either.
        needs: pins that are missing.
    """
    found: list[PlannedPin] = []
    for name in source.keys(("boards",)):
        its = [need for need in needs if need.board == name]
        if not its:
            continue
        free = _free_pins(source, name)
        items = len(free.parts) + len(chains_of(source, name))
        items += sum(need.use != "chain" for need in its)
        if items > free.board.items:
            return PinShortage(name, free.board.kind, len(its), len(its), free.board.items)
        options = _places(free, its, port_loads(source, name, its))
        if options is None:
            placed = len(matched([free.options(need) for need in its]))
            return PinShortage(name, free.board.kind, len(its), min(placed, len(its) - 1))
        pairs = zip(its, options, strict=True)
        found += [PlannedPin(need, option.place, option.note) for need, option in pairs]
    return found


def _places(free: FreePins, needs: Sequence[PinNeed], loads: PortLoads) -> list[PinOption] | None:
    """An option for each need; a chain is used if there is one."""
    found = _within(free, needs, loads)
    used = {*free.parts, *(option.place for option in found or ())}
    if found is None or not free.outputs or used & {*free.outputs}:
        return found
    return _within(replace(free, chains_first=True), needs, loads)


def _within(free: FreePins, needs: Sequence[PinNeed], loads: PortLoads) -> list[PinOption] | None:
    """An option for each need within the limits of port groups, if such a way is soon found.

    Otherwise any way: ``check`` then says which group bears too much, and what helps.
    """
    options, tries = [free.options(need) for need in needs], _TRIES_PER_NEED * (len(needs) + 1)
    found = assign(options, free.clash, loads.allow, tries)
    return found if found is not None else assign(options, free.clash)


def _free_pins(source: YamlSource, name: str) -> FreePins:
    board = board_of_entry(source, name)
    assert board is not None  # the file was checked
    parts: set[str] = set()
    pulses: list[PinUse] = []
    for path, _ in wired(source):
        if source.get((*path, "board")) == name:
            texts = [str(text) for key in PIN_KEYS if (text := source.get((*path, key)))]
            parts.update(texts)
            hz = _pulse_hz(source, path) if board.pairs_pulses else 0
            pulses += [PinUse(board.pins[text], hz) for text in texts if hz and text in board.pins]
    chain_pins: set[str] = set()
    bits: dict[object, list[str]] = {"inputs": [], "outputs": []}
    for path in chains_of(source, name):
        chain_pins.update(str(text) for key in CHAIN_PINS if (text := source.get((*path, key))))
        count = int(str(source.get((*path, "chips")))) * BITS_OF_CHIP
        bits[source.get((*path, "form"))] += [f"{path[-1]}.{bit}" for bit in range(count)]
    return FreePins(
        board,
        frozenset(parts),
        frozenset(chain_pins),
        tuple(pulses),
        tuple(bits["inputs"]),
        tuple(bits["outputs"]),
    )


def _pulse_hz(source: YamlSource, path: KeyPath) -> int:
    """Frequency of the pulses that a part with a pin needs, Hz; 0 for none."""
    if path[0] == "lamps":
        return 0 if source.get((*path, "dimmed")) is False else LAMP_PULSE_HZ
    if path[0] == "horn":
        given = source.get((*path, "frequency_hz"))
        return int(str(given or HornEntry.model_fields["frequency_hz"].default))
    return SERVO_PULSE_HZ if path[0] == "gauges" else 0
