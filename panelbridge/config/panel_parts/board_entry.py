"""A board of a panel file, and its chains of shift registers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.config.boards import BOARDS, Board, BoardKind
from panelbridge.config.electrics.keys import ChipKind, PowerSource, WireGauge
from panelbridge.config.other_board import OtherBoard
from panelbridge.config.pin_names import BITS_OF_CHIP, PinName
from panelbridge.logic.kit.parameters import Parameters


class ChainEntry(Parameters):
    """A chain of shift registers at a board, for more switches or lamps than it has pins."""

    form: Literal["inputs", "outputs"]
    """What its chips are: inputs (74HC165) for switches, outputs (74HC595) for lamps."""
    chips: Annotated[int, Field(ge=1, le=16)]
    """How many chips it has, 8 bits each. Bits 0 to 7 are those of the chip at the data pin."""
    data_pin: PinName
    """Pin of the first chip's data: its serial output (inputs), or its serial input (outputs)."""
    clock_pin: PinName
    """Pin of all chips' shift clock."""
    latch_pin: PinName
    """Pin of all chips' parallel load (inputs), or storage clock (outputs)."""
    dimmed: bool = True
    """Write false where its lamps are meant to be dark or fully lit: no chain can dim, and beside a
    dimmer or night switch 'check' warns of that."""


class BoardEntry(Parameters):
    """A board on a serial port."""

    board: BoardKind
    """Kind of board; 'other' is one that 'other_board' describes."""
    other_board: OtherBoard | None = None
    """The pins of a board of another kind, and what its firmware can do."""
    port: str | None = None
    """Its port: COM5, /dev/ttyACM0, socket://host:port, simboard://name. Without one it must be
    given on the command line, or the simulated board is used (demo, bench)."""
    baud: Annotated[int, Field(ge=9600, le=2_000_000)] = 250_000
    """Speed of the serial line, bit/s; 250000 is exact on 16 MHz boards. Boards with their own USB
    ignore it."""
    host_timeout_ms: Annotated[int, Field(ge=100, le=10_000)] = 500
    """Without the host for longer than this the board puts lamps and horn to idle, ms."""
    chains: Annotated[dict[str, ChainEntry], Field(max_length=4)] = Field(default_factory=dict)
    """Its chains of shift registers, each under a name of yours. Switches and lamps name a bit as
    their pin: the chain's name, a point, the number of the bit, e.g. knobs.3."""
    chip: ChipKind | None = None
    """Its microcontroller, where that is another than usual; some Uno and Nano boards have an
    atmega328pb, which bears half the current."""
    powered_by: PowerSource = "usb_port"
    """What feeds the board: a USB port (500 mA), a hub without a supply (100 mA a port), or a
    supply of its own."""
    ground_wire_m: Annotated[float, Field(ge=0.0, le=100.0)] = 0.0
    """Length of the wire that all its lamps and servos share on their way back to ground, m; 0
    leaves the voltage lost on it out."""
    ground_wire_awg: WireGauge = 24
    """Gauge of that wire, AWG."""

    @property
    def hardware(self) -> Board:
        """What this board can do."""
        return self.other_board.hardware if self.other_board else BOARDS[self.board]

    def chain_bits(self, *forms: Literal["inputs", "outputs"]) -> list[str]:
        """Names of the bits of its chains of these forms, in their order on the wire."""
        return [
            f"{name}.{bit}"
            for name, chain in self.chains.items()
            if chain.form in forms
            for bit in range(chain.chips * BITS_OF_CHIP)
        ]
