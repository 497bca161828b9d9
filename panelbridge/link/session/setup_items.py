"""The items of one board's pin set-up, collected from the panel file.

On the wire *closed* means *operated*: the contact connects its pin to ground, against the board's
pull-up resistor, so a low pin is a closed contact (ACTIVE_LOW). A contact that opens when its
switch is operated (``normally_closed``) gets no such flag; no other code handles this case.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Literal

from msgspec import Struct

from panelbridge.config.dimming import can_dim
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.board_entry import BoardEntry
from panelbridge.config.panel_parts.output_entries import LampEntry, NeedleEntry
from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    LeverSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.config.words import named_board
from panelbridge.errors import SetupRefused
from panelbridge.link.wire import FIRST_CHAIN_PIN, ItemFlag, ItemKind, SetupItem

Debounced = ContactSwitch | OneContactHandle | TwoContactHandle
Role = Literal["closed", "up", "down"]


class ContactUse(Struct, frozen=True):
    """The use of one contact of the set-up.

    Attributes:
        switch: the switch's name in the panel file.
        role: "closed" for a button or toggle; for the gear handle the end of its travel where the
            contact is closed.
    """

    switch: str
    role: Role


class AnalogueUse(Struct, frozen=True):
    """The use of one analogue input of the set-up.

    Attributes:
        switch: the switch's name in the panel file.
        counts_at_0: what the board reads at the lowest end.
        counts_at_1: what the board reads at the highest end; may be the smaller number.
    """

    switch: str
    counts_at_0: int
    counts_at_1: int


def bit_numbers(entry: BoardEntry) -> dict[str, int]:
    """Number on the wire of each bit of a board's chains."""
    bits = entry.chain_bits("inputs", "outputs")
    return {name: FIRST_CHAIN_PIN + at for at, name in enumerate(bits)}


class SetupItems:
    """Collects the items of one board; its chains come first.

    Args:
        board_name: the board's name in the panel file.
        entry: its entry there.

    Attributes:
        items: the items, in order.
        labels: name of each item, for messages.
    """

    def __init__(self, board_name: str, entry: BoardEntry) -> None:
        self.items: list[SetupItem] = []
        self.labels: list[str] = []
        self._board_name = board_name
        self._board = entry.hardware
        self._bits = bit_numbers(entry)
        for name, chain in entry.chains.items():
            kind = ItemKind.CHAIN_IN if chain.form == "inputs" else ItemKind.CHAIN_OUT
            label = f"chain {name}"
            clock, latch = (self._number(label, p) for p in (chain.clock_pin, chain.latch_pin))
            self._add(kind, label, chain.data_pin, p1=clock, p2=latch, p3=chain.chips)

    def add_contacts(self, panel: PanelFile) -> Iterator[ContactUse]:
        """Every contact of a switch; yields its use."""
        for name, switch in self._mine(panel.wired_switches.items()):
            if isinstance(switch, TwoContactHandle):
                opens = switch.normally_closed
                self._contact(f"{name} (up contact)", switch.up_pin, switch, opens)
                yield ContactUse(name, "up")
                self._contact(f"{name} (down contact)", switch.down_pin, switch, opens)
                yield ContactUse(name, "down")
            elif isinstance(switch, OneContactHandle):
                self._contact(name, switch.pin, switch, opens=False)
                yield ContactUse(name, switch.closed_means)
            elif isinstance(switch, ContactSwitch):
                self._contact(name, switch.pin, switch, switch.normally_closed)
                yield ContactUse(name, "closed")

    def add_analogues(self, panel: PanelFile) -> Iterator[AnalogueUse]:
        """Every lever; yields its use."""
        for name, switch in self._mine(panel.wired_switches.items()):
            if isinstance(switch, LeverSwitch):
                gate = switch.noise_gate_counts
                self._add(ItemKind.ANALOGUE, f"switch {name}", switch.pin, p1=gate)
                yield AnalogueUse(name, switch.counts_at_0, switch.counts_at_1)

    def add_lamps(self, panel: PanelFile) -> Iterator[str]:
        """Every lamp; yields its name."""
        for name, lamp in self._mine(panel.lamps.items()):
            self._add(ItemKind.LAMP, f"lamp {name}", lamp.pin, self._lamp_flags(lamp))
            yield name

    def add_horn(self, panel: PanelFile) -> bool:
        """The horn; returns whether it is on this board."""
        horn = panel.horn
        if horn is None or horn.board != self._board_name:
            return False
        times = {"p1": horn.frequency_hz, "p2": horn.on_ms, "p3": horn.off_ms}
        self._add(ItemKind.TONE, "the horn", horn.pin, **times)
        return True

    def add_gauges(self, panel: PanelFile) -> Iterator[tuple[str, NeedleEntry]]:
        """Every gauge; yields its name and entry."""
        for name, gauge in self._mine(panel.gauges):
            ends = sorted((gauge.pulse_at_0_us, gauge.pulse_at_1_us))
            # At idle the gauge shows the bottom of its scale, as one without power does.
            pulses = {"p1": gauge.pulse_at_0_us, "p2": ends[0], "p3": ends[1]}
            self._add(ItemKind.SERVO, f"gauge {name}", gauge.pin, **pulses)
            yield name, gauge

    def add_solenoids(self, panel: PanelFile) -> Iterator[str]:
        """Every solenoid; yields its name."""
        for name, solenoid in self._mine(panel.solenoids):
            flags = ItemFlag.ACTIVE_LOW if solenoid.active_low else ItemFlag.NONE
            self._add(ItemKind.LAMP, f"solenoid {name}", solenoid.pin, flags)
            yield name

    def _mine(self, entries: Iterable[tuple[str, Any]]) -> Iterator[tuple[str, Any]]:
        """The entries that are on this board."""
        for name, entry in entries:
            if entry is not None and entry.board == self._board_name:
                yield name, entry

    def _contact(self, label: str, pin: str, switch: Debounced, opens: bool) -> None:
        # Each contact at a chain's chips has an external pull-up resistor.
        flags = ItemFlag.NONE if pin in self._bits else ItemFlag.PULL_UP
        if not opens:
            flags |= ItemFlag.ACTIVE_LOW
        if switch.debounce_mode == "report_first":
            flags |= ItemFlag.HOLD_AFTER_EDGE
        self._add(ItemKind.CONTACT, f"switch {label}", pin, flags, p1=switch.debounce_ms)

    def _lamp_flags(self, lamp: LampEntry) -> ItemFlag:
        flags = ItemFlag.ACTIVE_LOW if lamp.active_low else ItemFlag.NONE
        return flags | ItemFlag.PWM if can_dim(lamp, self._board) else flags

    def _add(
        self, kind: ItemKind, label: str, pin_name: str, flags: int = 0, **parameters: int
    ) -> None:
        number = self._number(label, pin_name)
        self.items.append(SetupItem(len(self.items), kind, number, int(flags), **parameters))
        self.labels.append(f"{label} on pin {pin_name}")

    def _number(self, label: str, pin_name: str) -> int:
        pin = self._board.pins.get(pin_name)
        if pin is None and pin_name in self._bits:
            return self._bits[pin_name]
        if pin is None:
            raise SetupRefused(
                f"{label} is on pin {pin_name}, which a {self._board.kind} does not have",
                named_board(self._board_name),
                "correct the pin in the panel file",
            )
        return pin.number
