"""What is wired: panel, boards, chains and parts, as frozen data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from panelbridge.config.boards import Board
from panelbridge.config.electrics.keys import PowerSupply
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.board_entry import BoardEntry, ChainEntry
from panelbridge.wiring.electrics.chips import ChipLimits
from panelbridge.wiring.electrics.circuits import Circuit

PartKind = Literal["switch", "lamp", "horn", "gauge", "solenoid"]


class WiredPart(Struct, frozen=True):
    """One switch, lamp, horn, gauge or solenoid.

    Attributes:
        kind: what it is.
        name: its name in the panel file; ``horn`` for the horn.
        place: the way to it in the panel file.
        board: name of its board.
        pins: its pins or chain bits by their key in the file; ``up_pin`` and ``down_pin`` of a
            handle, else ``pin``.
        circuit: how it is wired.
        legend: words on it; its name where it has none.
    """

    kind: PartKind
    name: str
    place: tuple[str, ...]
    board: str
    pins: Mapping[str, str]
    circuit: Circuit
    legend: str = ""


class WiredChain(Struct, frozen=True):
    """A chain of shift registers.

    Attributes:
        name: its name in the panel file.
        entry: its form, chips and pins.
        bits: the part at each bit that is used.
    """

    name: str
    entry: ChainEntry
    bits: Mapping[int, WiredPart]


class WiredBoard(Struct, frozen=True):
    """A board with what is wired to it.

    Attributes:
        name: its name in the panel file.
        entry: what the panel file says of it.
        hardware: its pins.
        chip: limits of its microcontroller; None where they are not known.
        volts: of its pins, V.
        parts: in the order of the panel file: switches, lamps, horn, gauges, solenoids.
        pins: the part at each of its pins that is used (not those of chains' lines).
        chains: its chains by name.
    """

    name: str
    entry: BoardEntry
    hardware: Board
    chip: ChipLimits | None
    volts: float
    parts: tuple[WiredPart, ...]
    pins: Mapping[str, WiredPart]
    chains: Mapping[str, WiredChain]


class WiredPanel(Struct, frozen=True):
    """A panel with everything that is wired.

    Attributes:
        panel: the panel file.
        boards: by name, in its order.
        supplies: the panel's own supplies by name.
    """

    panel: PanelFile
    boards: Mapping[str, WiredBoard]
    supplies: Mapping[str, PowerSupply]

    @property
    def parts(self) -> tuple[WiredPart, ...]:
        """All parts, board by board."""
        return tuple(part for board in self.boards.values() for part in board.parts)
