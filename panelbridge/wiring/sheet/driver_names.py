"""What the drivers of a board are called on its sheet: arrays A1, A2; transistors Q1, Q2."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from panelbridge.wiring.electrics.circuits import CoilCircuit, SounderCircuit
from panelbridge.wiring.electrics.drivers import DriverStage
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPart
from panelbridge.wiring.sheet.chips import ARRAY_CHIP


class NamedDriver(Struct, frozen=True):
    """The driver of one load, with its name on the sheet.

    Attributes:
        name: ``A1`` or ``Q1``.
        part: what it drives.
        stage: the driver.
    """

    name: str
    part: WiredPart
    stage: DriverStage

    @property
    def is_array(self) -> bool:
        """It is an output of a transistor array."""
        return self.stage.kind == "transistor_array"

    @property
    def has_pull_down(self) -> bool:
        """A resistor keeps its input low while the board starts; an array has its own inside."""
        return self.stage.pull_down and not self.is_array

    @property
    def has_coil(self) -> bool:
        """It drives a coil, which needs a flyback diode."""
        circuit = self.part.circuit
        magnetic = isinstance(circuit, SounderCircuit) and circuit.sounder == "magnetic_buzzer"
        return isinstance(circuit, CoilCircuit) or magnetic

    @property
    def input_text(self) -> str:
        """Where the wire from the pin goes."""
        if self.is_array:
            pin = f"IN{self.stage.output}"
            return f"driver {self.name}, {pin} (pin {ARRAY_CHIP.number(pin)})"
        terminal = "gate" if self.stage.kind == "mosfet" else "base"
        return f"driver {self.name}, its {terminal} resistor"


def drivers_of(board: WiredBoard) -> Mapping[str, NamedDriver]:
    """The drivers of a board by the name of what they drive."""
    named: dict[str, NamedDriver] = {}
    transistors = 0
    for part in board.parts:
        stage = part.circuit.driver
        if stage is None:
            continue
        if stage.kind == "transistor_array":
            name = f"A{stage.chip}"
        else:
            transistors += 1
            name = f"Q{transistors}"
        named["/".join(part.place)] = NamedDriver(name, part, stage)
    return named


def driver_of(board: WiredBoard, part: WiredPart) -> NamedDriver | None:
    """The driver of a part; None where its pin drives it alone."""
    return drivers_of(board).get("/".join(part.place))
