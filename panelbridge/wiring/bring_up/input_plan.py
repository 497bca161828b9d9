"""The set-up of a board while switches are proven: every pin is watched, and nothing is driven.

*Spare pins and lamps' pins are watched too*, so that a wire at the wrong pin is seen. Their pull-up
can drive 0.25 mA at most (5 V over 20 kOhm, ATmega328P data sheet, table of DC characteristics): an
LED at such a pin glows faintly, and holds it at its forward voltage, where a board may read either
level. So what a lamp's pin does beside the pin of a switch counts for nothing.

The same current can switch a driver on, and what hangs behind it. So the pins of horn, gauges,
solenoids and lamps behind drivers are never watched, nor any pin but those of switches on a board
that drives a solenoid: a coil moves things, and its wire may be the one that is wrong.

*Lamps are not set up*, but those on chains, whose chips must be dark: a switch at the pin of a lamp
would connect a driven pin to ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from panelbridge.config.boards import Board
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.panel_wires import Place, wires_of
from panelbridge.link.session import SetupPlan
from panelbridge.link.session.setup_items import AnalogueUse, ContactUse, bit_numbers
from panelbridge.link.session.setup_plan import CRC_BYTES
from panelbridge.link.wire import ItemFlag, ItemKind, SetupItem, SetupShape
from panelbridge.link.wire.frames import MAX_MESSAGE

DEBOUNCE_MS = 30
"""While switches are proven: long enough for most contacts, and a hand is slower."""
MOST_CONTACTS = 120
"""An edge has seven bits for the number of its contact."""


def input_plan(panel: PanelFile, board_name: str) -> SetupPlan:
    """The set-up of a board in which every harmless pin is watched.

    The use of a contact or analogue value is named by its pin; its role says nothing.

    Raises:
        SetupRefused: the panel's own set-up does not fit the board either.
    """
    own = SetupPlan.of(panel, board_name)
    hardware = own.board
    chains = [item for item in own.items if item.is_chain]
    bits = bit_numbers(own.entry)
    lamps = {
        name: bits[lamp.pin]
        for name, lamp in panel.lamps.items()
        if lamp.board == board_name and lamp.pin in bits
    }
    fixed = len(chains) + len(lamps)
    analogue = _lever_pins(panel, board_name)
    wanted = _watched(panel, board_name, hardware, bits, analogue)
    room = min(hardware.items - fixed - len(analogue), MOST_CONTACTS)
    contacts = wanted[: max(room, 0)]
    while True:
        items = list(chains)
        for pin in contacts:
            on_chain = pin in bits
            number = bits[pin] if on_chain else hardware.pins[pin].number
            flags = ItemFlag.ACTIVE_LOW | (ItemFlag.NONE if on_chain else ItemFlag.PULL_UP)
            items.append(_item(items, ItemKind.CONTACT, number, int(flags), DEBOUNCE_MS))
        for pin in analogue:
            items.append(_item(items, ItemKind.ANALOGUE, hardware.pins[pin].number))
        for name, number in lamps.items():
            low = panel.lamps[name].active_low
            flags = ItemFlag.ACTIVE_LOW if low else ItemFlag.NONE
            items.append(_item(items, ItemKind.LAMP, number, int(flags)))
        if SetupShape.of(tuple(items)).longest_report + CRC_BYTES <= MAX_MESSAGE:
            break
        contacts = contacts[:-1]
    return SetupPlan(
        board_name,
        own.entry,
        hardware,
        contacts=tuple(ContactUse(pin, "closed") for pin in contacts),
        analogues=tuple(AnalogueUse(pin, 0, hardware.counts) for pin in analogue),
        lamps=tuple(lamps),
        has_horn=False,
        gauges=(),
        solenoids=(),
        items=tuple(items),
        labels=tuple(f"bring-up: item {item.index}" for item in items),
    )


def _item(
    items: list[SetupItem], kind: ItemKind, number: int, flags: int = 0, p1: int = 0
) -> SetupItem:
    return SetupItem(len(items), kind, number, flags, p1=p1)


def _lever_pins(panel: PanelFile, board_name: str) -> list[str]:
    pins = [
        switch.pin
        for switch in panel.wired_switches.values()
        if isinstance(switch, LeverSwitch) and switch.board == board_name
    ]
    return sorted(pins)  # the set-up stays the same when two levers change places


def _watched(
    panel: PanelFile,
    board_name: str,
    hardware: Board,
    bits: Mapping[str, int],
    analogue: list[str],
) -> list[str]:
    """The pins to watch as contacts, those of switches first."""
    wires = {key: place for key, place in wires_of(panel).items() if place.board == board_name}
    switches = {
        place.pin for key, place in wires.items() if key.is_switch and place.pin not in analogue
    }
    never = {place.pin for key, place in wires.items() if key.group in _DRIVEN} | {*analogue}
    driven = [lamp for lamp in panel.lamps.values() if lamp.driver != "none"]
    never |= {lamp.pin for lamp in driven if lamp.board == board_name}
    for chain in panel.boards[board_name].chains.values():
        never |= {chain.data_pin, chain.clock_pin, chain.latch_pin}
    has_coil = any(key.group == "solenoids" for key in wires)
    others = [] if has_coil else [*_spare(hardware, never | switches)]
    inputs = panel.boards[board_name].chain_bits("inputs")
    return [
        *sorted(switches & {*bits}, key=lambda pin: bits[pin]),
        *(name for name in hardware.pins if name in switches),
        *(bit for bit in inputs if bit not in switches),
        *others,
    ]


_DRIVEN = ("horn", "gauges", "solenoids")


def _spare(hardware: Board, taken: set[str]) -> Iterator[str]:
    for name, pin in hardware.pins.items():
        if pin.digital and not pin.reserved and name not in taken:
            yield name


def contact_places(plan: SetupPlan) -> list[Place]:
    """The place of each contact of an input plan."""
    return [Place(plan.board_name, use.switch) for use in plan.contacts]


def analogue_places(plan: SetupPlan) -> list[Place]:
    """The place of each analogue value of an input plan."""
    return [Place(plan.board_name, use.switch) for use in plan.analogues]
