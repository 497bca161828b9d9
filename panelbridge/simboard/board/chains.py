"""Chains of shift registers: the bits as pins, and what a board accepts.

A bit is named by its chain's data pin and its number, e.g. ``D10.3``, independent of the set-up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from panelbridge.config.boards import Pin
from panelbridge.link.wire import (
    BITS_OF_CHIP,
    FIRST_CHAIN_PIN,
    MAX_CHAIN_CHIPS,
    MAX_CHAINS,
    ItemFlag,
    ItemKind,
    SetupItem,
    SetupStatus,
)


class ChainBit(NamedTuple):
    """A bit of a chain.

    Attributes:
        kind: of its chain, ``CHAIN_IN`` or ``CHAIN_OUT``.
        data_pin: number of its chain's data pin.
        bit: from 0, that of the chip nearest the board.
    """

    kind: int
    data_pin: int
    bit: int


def chain_bits(items: Iterable[SetupItem]) -> dict[int, ChainBit]:
    """Every bit of the chains among ``items``, by its number as a pin."""
    chains = [item for item in items if item.is_chain]
    bits = (ChainBit(c.kind, c.pin, bit) for c in chains for bit in range(c.p3 * BITS_OF_CHIP))
    return dict(enumerate(bits, FIRST_CHAIN_PIN))


def bit_names(items: Iterable[SetupItem], pin_names: Mapping[int, str]) -> dict[int, str]:
    """The name of every bit, by its number as a pin."""
    return {
        number: f"{pin_names[bit.data_pin]}.{bit.bit}" for number, bit in chain_bits(items).items()
    }


def pins_of(item: SetupItem) -> tuple[int, ...]:
    """The pins of the board, or the bit of a chain, that an item uses."""
    return (item.pin, item.p1, item.p2) if item.is_chain else (item.pin,)


def judge_chain(
    item: SetupItem, earlier: Iterable[SetupItem], pins: Mapping[int, Pin]
) -> SetupStatus:
    """Whether the board accepts a chain; its pins exist and are free."""
    if not all(pins[number].digital for number in pins_of(item)):
        return SetupStatus.PIN_CANNOT
    if item.flags or not 1 <= item.p3 <= MAX_CHAIN_CHIPS:
        return SetupStatus.BAD_VALUE
    chains = [other for other in earlier if other.is_chain]
    chips = item.p3 + sum(chain.p3 for chain in chains)
    if len(chains) >= MAX_CHAINS or chips > MAX_CHAIN_CHIPS:
        return SetupStatus.TOO_MANY_ITEMS
    return SetupStatus.OK


def bit_can(bit: ChainBit, item: SetupItem) -> bool:
    """Whether a bit can be used as ``item``; it has neither pull-up resistor nor PWM."""
    able = ItemKind.CONTACT if bit.kind == ItemKind.CHAIN_IN else ItemKind.LAMP
    return item.kind == able and not item.flags & (ItemFlag.PULL_UP | ItemFlag.PWM)
