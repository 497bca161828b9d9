"""Messages of a running session: COMMAND and REPORT, each the full state of one side.

Their length depends on the pin set-up, so ``pack`` and ``unpack`` take its shape.
"""

from __future__ import annotations

import struct
from functools import cached_property
from typing import Self

from msgspec import Struct

from panelbridge.errors import MessageError
from panelbridge.link.wire.constants import MAX_EDGES, ItemKind, MessageType
from panelbridge.link.wire.setup_messages import SetupItem

_COMMAND_HEAD = "<BBHH"
_REPORT_HEAD = "<BBHHBBHB"


class SetupShape(Struct, frozen=True, dict=True):
    """The counts of a set-up that decide the length of COMMAND and REPORT.

    Attributes:
        contacts: number of CONTACT items.
        analogues: number of ANALOGUE items.
        outputs: kind of each output item, in the set-up's order.
    """

    contacts: int
    analogues: int
    outputs: tuple[int, ...]

    @classmethod
    def of(cls, items: tuple[SetupItem, ...]) -> Self:
        """The shape of a set-up."""
        kinds = [item.kind for item in items]
        return cls(
            contacts=kinds.count(ItemKind.CONTACT),
            analogues=kinds.count(ItemKind.ANALOGUE),
            outputs=tuple(item.kind for item in items if item.is_output),
        )

    @cached_property
    def command_layout(self) -> struct.Struct:
        """Layout of a COMMAND without CRC."""
        values = "".join("H" if kind == ItemKind.SERVO else "B" for kind in self.outputs)
        return struct.Struct(_COMMAND_HEAD + values)

    @cached_property
    def report_layout(self) -> struct.Struct:
        """Layout of a REPORT up to its edges."""
        return struct.Struct(f"{_REPORT_HEAD}{(self.contacts + 7) // 8}s{self.analogues}H")

    @property
    def command_length(self) -> int:
        """Length of a COMMAND without CRC, bytes."""
        return self.command_layout.size

    @property
    def longest_report(self) -> int:
        """Length of a REPORT with ``MAX_EDGES`` edges, without CRC, bytes."""
        return self.report_layout.size + MAX_EDGES


class Command(Struct, frozen=True):
    """Host: the full state of all outputs; also the host's heartbeat and acknowledgement.

    Attributes:
        session: as in SETUP_BEGIN.
        sequence: number of this command, 0-65535, rising.
        edge_ack: number of the next edge that the host waits for: all before it have arrived.
        outputs: one value for each output item, in the set-up's order: LAMP brightness 0-255,
            TONE 0 silent / 1 intermittent / 2 continuous, SERVO pulse in us (0 = no pulse).
    """

    session: int
    sequence: int
    edge_ack: int
    outputs: tuple[int, ...]

    def pack(self, shape: SetupShape) -> bytes:
        """The message's bytes for a board with the set-up ``shape``."""
        return shape.command_layout.pack(
            MessageType.COMMAND, self.session, self.sequence, self.edge_ack, *self.outputs
        )

    @classmethod
    def unpack(cls, message: bytes, shape: SetupShape) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        if len(message) != shape.command_length:
            raise MessageError(f"COMMAND of {len(message)} bytes, {shape.command_length} expected")
        _, session, sequence, edge_ack, *outputs = shape.command_layout.unpack(message)
        return cls(session, sequence, edge_ack, tuple(outputs))


class Edge(Struct, frozen=True):
    """One debounced change of a contact.

    Attributes:
        contact: which CONTACT of the set-up, counted from 0, below 128.
        closed: what it changed to.
    """

    contact: int
    closed: bool


class Report(Struct, frozen=True):
    """Board: the full state of all inputs, and the edges not acknowledged yet.

    The state is that *after* the edges. Also the board's heartbeat.

    Attributes:
        session: as in SETUP_BEGIN.
        sequence: number of this report, 0-65535, rising.
        command_sequence: number of the last COMMAND that the board took.
        flags: ``ReportFlag`` bits.
        bad_frames: frames that the board refused since its reset, modulo 256.
        first_edge: number of the first edge below; with no edges, of the next one to come.
        contacts: every CONTACT's debounced state as a bit map, first contact in bit 0.
        analogues: every ANALOGUE's value, counts 0-65535.
        edges: oldest first, at most ``MAX_EDGES``.
    """

    session: int
    sequence: int
    command_sequence: int
    flags: int
    bad_frames: int
    first_edge: int
    contacts: int
    analogues: tuple[int, ...] = ()
    edges: tuple[Edge, ...] = ()

    def pack(self, shape: SetupShape) -> bytes:
        """The message's bytes for a set-up of ``shape``."""
        layout = shape.report_layout
        state = layout.pack(
            MessageType.REPORT,
            self.session,
            self.sequence,
            self.command_sequence,
            self.flags,
            self.bad_frames,
            self.first_edge,
            len(self.edges),
            self.contacts.to_bytes((shape.contacts + 7) // 8, "little"),
            *self.analogues,
        )
        return state + bytes(edge.contact | (0x80 if edge.closed else 0) for edge in self.edges)

    @classmethod
    def unpack(cls, message: bytes, shape: SetupShape) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        layout = shape.report_layout
        size = layout.size
        if len(message) < size:
            raise MessageError(f"REPORT of {len(message)} bytes, {size} at least")
        _, session, sequence, command_sequence, flags, bad, first_edge, count, bits, *analogues = (
            layout.unpack_from(message)
        )
        if count > MAX_EDGES or len(message) != size + count:
            raise MessageError(
                f"REPORT of {len(message)} bytes with {count} edges, {size + count} expected"
            )
        contacts = int.from_bytes(bits, "little")
        if contacts >> shape.contacts:
            raise MessageError("REPORT closes contacts that the set-up does not have")
        edges = tuple(Edge(byte & 0x7F, byte >= 0x80) for byte in message[size:])
        if any(edge.contact >= shape.contacts for edge in edges):
            raise MessageError("REPORT has an edge of a contact that the set-up does not have")
        head = (session, sequence, command_sequence, flags, bad, first_edge)
        return cls(*head, contacts, tuple(analogues), edges)
