"""From the panel file to one board's pin set-up.

The order of the items is fixed: chains of shift registers, contacts, analogues, lamps, horn,
gauges, solenoids. Switches come in the order of the panel file's model (the gear handle first, its
up contact before its down contact), chains, lamps and gauges in the order of the file.
"""

from __future__ import annotations

from functools import cached_property
from typing import Self

from msgspec import Struct

from panelbridge.config.boards import Board
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.board_entry import BoardEntry
from panelbridge.config.panel_parts.output_entries import NeedleEntry
from panelbridge.config.words import named_board
from panelbridge.errors import SetupRefused
from panelbridge.link.session.setup_items import AnalogueUse, ContactUse, SetupItems
from panelbridge.link.wire import ItemKind, SetupItem, SetupShape
from panelbridge.link.wire.frames import MAX_MESSAGE, crc16

CRC_BYTES = 2


class SetupPlan(Struct, frozen=True, dict=True):
    """One board's pin set-up.

    Attributes:
        board_name: the board's name in the panel file.
        entry: the board's entry in the panel file.
        board: the properties of its kind of board.
        contacts: use of each CONTACT; the position here is its number on the wire.
        analogues: use of each ANALOGUE.
        lamps: name of each LAMP.
        has_horn: whether the horn is on this board.
        gauges: name and entry of each gauge.
        solenoids: name of each solenoid; on the wire it is a lamp that is not dimmed, idle dark.
        items: the set-up, in order.
        labels: name of each item, for messages.
    """

    board_name: str
    entry: BoardEntry
    board: Board
    contacts: tuple[ContactUse, ...]
    analogues: tuple[AnalogueUse, ...]
    lamps: tuple[str, ...]
    has_horn: bool
    gauges: tuple[tuple[str, NeedleEntry], ...]
    solenoids: tuple[str, ...]
    items: tuple[SetupItem, ...]
    labels: tuple[str, ...]

    @cached_property
    def shape(self) -> SetupShape:
        """The counts that decide the lengths of COMMAND and REPORT."""
        return SetupShape.of(self.items)

    @cached_property
    def checksum(self) -> int:
        """CRC-16 over the items' bodies."""
        return crc16(b"".join(item.body() for item in self.items))

    @cached_property
    def idle_values(self) -> tuple[int, ...]:
        """The outputs while no session commands them."""
        outputs = [item for item in self.items if item.is_output]
        return tuple([0 if item.kind == ItemKind.TONE else item.p1 for item in outputs])

    @property
    def outputs(self) -> tuple[str, ...]:
        """Name of each output, in the set-up's order: a lamp, "horn", a gauge, a solenoid."""
        horn = ("horn",) if self.has_horn else ()
        return (*self.lamps, *horn, *(name for name, _ in self.gauges), *self.solenoids)

    @classmethod
    def of(cls, panel: PanelFile, board_name: str) -> Self:
        """The set-up of the board ``board_name``.

        Raises:
            SetupRefused: a pin that the board does not have, too many items, or more switches or
                lamps than fit into one frame.
        """
        entry = panel.boards[board_name]
        board = entry.hardware
        draft = SetupItems(board_name, entry)
        plan = cls(
            board_name,
            entry,
            board,
            contacts=tuple(draft.add_contacts(panel)),
            analogues=tuple(draft.add_analogues(panel)),
            lamps=tuple(draft.add_lamps(panel)),
            has_horn=draft.add_horn(panel),
            gauges=tuple(draft.add_gauges(panel)),
            solenoids=tuple(draft.add_solenoids(panel)),
            items=tuple(draft.items),  # after all that adds to them
            labels=tuple(draft.labels),
        )
        _check_size(plan)
        return plan


def _check_size(plan: SetupPlan) -> None:
    where = named_board(plan.board_name)
    hint = "move some of its switches or lamps to another board"
    count, most = len(plan.items), plan.board.items
    if count > most:
        raise SetupRefused(f"{count} pins are used, {most} is the most", where, hint)
    shape = plan.shape
    for what, length in (("inputs", shape.longest_report), ("outputs", shape.command_length)):
        if length + CRC_BYTES > MAX_MESSAGE:
            raise SetupRefused(
                f"its {what} need a frame of {length + CRC_BYTES} bytes, {MAX_MESSAGE} is the most",
                where,
                hint,
            )
