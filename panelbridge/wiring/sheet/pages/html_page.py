"""One printable page: cautions, drawn sheets, wires to tick off, currents, parts."""

from __future__ import annotations

from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.sheet.board_sheet import sheet_files
from panelbridge.wiring.sheet.cautions import FOOT, cautions_of
from panelbridge.wiring.sheet.pages.tables import current_table, current_text, parts_table
from panelbridge.wiring.sheet.problems import problem_boxes
from panelbridge.wiring.sheet.wires import board_wires

PAGE_MARK = "panelbridge wiring"
_BAND_COLOURS = {
    "black": "#000",
    "brown": "#7a4a1e",
    "red": "#d00",
    "orange": "#f80",
    "yellow": "#fd0",
    "green": "#080",
    "blue": "#04c",
    "violet": "#72a",
    "grey": "#888",
    "white": "#fff",
    "gold": "#c9a227",
    "silver": "#c0c0c0",
}


def html_page(
    wired: WiredPanel,
    dated: str = "",
) -> str:
    """The page as HTML that refers to nothing outside itself."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=PackageLoader("panelbridge.wiring.sheet", "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    boards = ", ".join(f"{one.name} ({one.hardware.kind})" for one in wired.boards.values())
    return environment.get_template("wiring_page.html.j2").render(
        mark=PAGE_MARK,
        title=wired.panel.name,
        under=", ".join(filter(None, (f"Boards: {boards}", dated))),
        problems=problem_boxes(wired),
        cautions=cautions_of(wired),
        foot=FOOT,
        sheets=[Markup(svg) for _, svg in sheet_files(wired, dated)],
        wires=[
            (name, [(wire, current_text(wire)) for wire in board_wires(wired, board)])
            for name, board in wired.boards.items()
        ],
        currents=current_table(wired),
        colours=_BAND_COLOURS,
        parts=parts_table(wired),
    )
