"""The command ``wiring``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.cli.commands.options import PanelPath


def wiring(
    panel: PanelPath,
    form: Annotated[
        str,
        typer.Option(
            "--format",
            metavar="FORM",
            help="html (one page to print), svg (the drawn sheets), csv or md (the tables).",
        ),
    ] = "html",
    output: Annotated[
        Path | None,
        typer.Option(
            metavar="PATH",
            help="Write into this file (html, md) or this folder (svg, csv). Without it: files "
            "named after the panel file, in the folder where you are.",
        ),
    ] = None,
    date: Annotated[
        str, typer.Option(metavar="TEXT", help="Print this date on the pages; without it none.")
    ] = "",
) -> None:
    """Draw the wiring of a panel, to print and wire along.

    Each pin with what hangs there, each resistor with its colours, currents, parts to buy.
    """
    from panelbridge.wiring.sheet.command import wiring_command

    raise typer.Exit(wiring_command(panel, form, output, date))
