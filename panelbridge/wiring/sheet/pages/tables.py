"""The tables of a panel's wiring as rows of texts, the same for every form."""

from __future__ import annotations

import csv
import io

from msgspec import Struct

from panelbridge.wiring.electrics.budget import budget
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.sheet.parts_list import parts_list
from panelbridge.wiring.sheet.wires import PinWire, wires_of


class TextTable(Struct, frozen=True):
    """A table.

    Attributes:
        name: for its file: ``pins``.
        title: for people.
        columns: heads of its columns.
        rows: its texts.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def csv(self) -> str:
        """Comma-separated, as RFC 4180 has it, with line feeds."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(self.columns)
        writer.writerows(tuple(_no_formula(cell) for cell in row) for row in self.rows)
        return out.getvalue()

    def markdown(self) -> str:
        """A table of Markdown under its title."""
        lines = [self.columns, tuple("---" for _ in self.columns), *self.rows]
        cells = ("| " + " | ".join(map(_in_markdown, row)) + " |" for row in lines)
        return f"## {self.title}\n\n" + "\n".join(cells) + "\n"


def _no_formula(cell: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell[:1] in "=+-@" and cell else cell


def _in_markdown(cell: str) -> str:
    return cell.replace("\\", "\\\\").replace("|", "\\|").replace("<", "&lt;")


PIN_COLUMNS = (
    *("board", "place", "pin", "name", "legend", "what", "goes to"),
    *("resistor", "colour bands", "current mA", "note"),
)
CURRENT_COLUMNS = (
    *("sum of currents", "typical mA", "worst mA", "limit mA", "worst of limit"),
    "source of the limit",
)
PART_COLUMNS = ("part", "value", "count", "spare", "used for")


def pin_table(wired: WiredPanel) -> TextTable:
    """Every wire at a pin, along the headers and chips."""
    rows = tuple(
        (
            *(wire.board, wire.place, wire.pin, wire.name, wire.legend, wire.what, wire.to),
            *(wire.resistor, wire.bands, current_text(wire), wire.note),
        )
        for wire in wires_of(wired)
    )
    return TextTable("pins", "Pins", PIN_COLUMNS, rows)


def current_text(wire: PinWire) -> str:
    """Typical current at the pin, mA; empty for a line of a chain and next to nothing."""
    if wire.part is None:
        return ""
    typical_ma = wire.part.circuit.at_pin.typical_ma
    return f"{typical_ma:.1f}" if typical_ma >= 0.05 else ""


def current_table(wired: WiredPanel) -> TextTable:
    """Sums of currents against their limits; single pins only where one is beyond its limit."""
    rows = tuple(
        (
            line.subject,
            f"{line.current.typical_ma:.0f}",
            f"{line.current.worst_ma:.0f}",
            f"{line.limit_ma:g}",
            "beyond" if line.is_passed else f"{line.current.worst_ma / line.limit_ma:.0%}",
            str(line.source),
        )
        for line in budget(wired)
        if line.is_passed or (len(line.parts) > 1 and line.current.worst_ma)
    )
    return TextTable("currents", "Currents, every lamp lit", CURRENT_COLUMNS, rows)


def parts_table(wired: WiredPanel) -> TextTable:
    """What to buy."""
    rows = tuple(
        (one.kind, one.value, str(one.count), str(one.spare), one.used_for)
        for one in parts_list(wired)
    )
    return TextTable("parts", "Parts", PART_COLUMNS, rows)
