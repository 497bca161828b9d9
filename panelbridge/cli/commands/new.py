"""The command new: a first panel in a folder of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def new(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="Folder of the new files; made if missing.")
    ] = Path("my_panel"),
    aircraft: Annotated[
        str | None,
        typer.Option(
            metavar="KIND", help="Kind of aircraft, e.g. first_steps; else you are asked."
        ),
    ] = None,
    board: Annotated[
        str | None,
        typer.Option(metavar="KIND", help="Kind of board, e.g. uno; else you are asked."),
    ] = None,
    extras: Annotated[
        str | None,
        typer.Option(
            metavar="NAME,...", help="What it has besides handle, greens and horn; or none."
        ),
    ] = None,
) -> None:
    """Make a first panel: its files in a folder.

    Panel, aircraft and feed file that work together, with pins, and with the schemas that an editor
    finds. Nothing is overwritten.
    """
    from panelbridge.wiring.new_panel.command import new_command

    raise typer.Exit(new_command(folder, aircraft, board, extras))
