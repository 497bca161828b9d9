"""The pins that each need can have, best first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import NamedTuple

from msgspec import Struct

from panelbridge.config.boards import LAMP_PULSE_HZ, Board, Pin
from panelbridge.wiring.pin_plan.assignment import Clash, Option
from panelbridge.wiring.pin_plan.pin_needs import PinNeed


class PinUse(NamedTuple):
    """What a need makes of a pin.

    Attributes:
        pin: None for a bit of a chain.
        hz: pulses that the board must make there; 0 for none.
        dimmed: what has to be written at a lamp; None for nothing.
    """

    pin: Pin | None = None
    hz: int = 0
    dimmed: bool | None = None


PinOption = Option[str, PinUse]


class FreePins(Struct, frozen=True):
    """What is free on a board.

    Attributes:
        board: what its pins can do.
        parts: names of pins and bits that have a part already.
        chain_pins: names of pins that chains hang at.
        pulses: of those that make pulses.
        inputs: bits of chains for switches.
        outputs: bits of chains for lamps.
        chains_first: lamps take chains before pins that could dim them, so that none is left over.
    """

    board: Board
    parts: frozenset[str]
    chain_pins: frozenset[str]
    pulses: tuple[PinUse, ...]
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    chains_first: bool = False

    @property
    def clash(self) -> Clash[str, PinUse]:
        """Whether two options cannot be had together on this board."""
        return partial(_clash, self.board)

    def options(self, need: PinNeed) -> list[PinOption]:
        """Everything that the need could have."""
        taken, pulses = self.parts | self.chain_pins, [Option("", use) for use in self.pulses]
        found = [Option(place, use) for place, use in self._all(need) if place not in taken]
        return [one for one in found if not any(self.clash(one, other) for other in pulses)]

    def _all(self, need: PinNeed) -> Iterator[tuple[str, PinUse]]:
        pins = [pin for pin in self.board.pins.values() if not pin.reserved]
        if need.use == "lever":
            able = sorted((pin for pin in pins if pin.analogue), key=lambda pin: pin.digital)
            yield from ((pin.name, PinUse(pin)) for pin in able)
            return
        plain = sorted((pin for pin in pins if pin.digital), key=_rank)
        if need.use == "lamp":
            yield from self._for_lamp(need, plain)
            return
        if need.use == "contact":
            yield from ((bit, PinUse()) for bit in self.inputs)
        elif need.use != "chain":  # what is not many comes from the other end
            plain.reverse()
            plain.sort(key=_rank)
        hz = need.hz if self.board.pairs_pulses else 0
        yield from ((pin.name, PinUse(pin, hz)) for pin in plain)

    def _for_lamp(self, need: PinNeed, plain: Sequence[Pin]) -> Iterator[tuple[str, PinUse]]:
        bits = [(bit, PinUse()) for bit in self.outputs]
        hz = LAMP_PULSE_HZ if self.board.pairs_pulses else 0
        dimming = [(pin.name, PinUse(pin, hz)) for pin in plain if pin.pwm]
        if need.dimmed:
            yield from dimming
            return
        if self.chains_first:
            yield from bits
        # Pins that share pulse generators: only 'dimmed: false' needs none of them.
        writes = need.dimmed is None and (need.wants_dimming or self.board.pairs_pulses)
        steady = [
            (pin.name, PinUse(pin, 0, False if writes else None))
            for pin in sorted(plain, key=lambda pin: (not pin.at_boot, pin.pwm, pin.analogue))
            if need.dimmed is False or self.board.pairs_pulses or not pin.pwm
        ]
        if need.dimmed is None:
            yield from dimming
        if not self.chains_first:
            yield from bits
        yield from steady


def _rank(pin: Pin) -> tuple[bool, bool, bool]:
    """Pins that can do nothing else come first, one that the boot loader drives last."""
    return bool(pin.at_boot), pin.pwm, pin.analogue


def _clash(board: Board, first: PinOption, second: PinOption) -> bool:
    one, other = first.note, second.note
    if not one.hz or not other.hz or one.pin is None or other.pin is None:
        return False
    return board.pulses_clash(one.pin, one.hz, other.pin, other.hz)
