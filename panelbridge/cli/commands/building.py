"""Commands on the way to a proven panel: new, plan, wiring, bring-up."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.cli.commands.options import PanelPath, Ports, Simulate, names_in


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


def plan(
    panel: PanelPath,
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Write without asking.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be written, and write nothing.")
    ] = False,
) -> None:
    """Propose pins for switches and lamps that have none.

    Write 'nose_green:' alone for a lamp without a pin. Pins that are given never move.
    """
    from panelbridge.wiring.pin_plan.command import plan_command

    raise typer.Exit(plan_command(panel, yes=yes, dry_run=dry_run))


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


def bring_up(
    panel: PanelPath,
    port: Ports = None,
    only: Annotated[
        str,
        typer.Option(metavar="NAME,...", help="Prove only these switches, lamps and gauges."),
    ] = "",
    progress: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Where to keep the progress, to go on later; PANEL.bring-up.json beside the panel "
            "file unless given.",
        ),
    ] = None,
    from_start: Annotated[
        bool, typer.Option("--from-start", help="Begin again, whatever an earlier part found.")
    ] = False,
    report: Annotated[
        Path | None,
        typer.Option(metavar="FILE.html", help="A new file for the report; dated unless given."),
    ] = None,
    simulate: Simulate = False,
    wired_as: Annotated[
        Path | None,
        typer.Option(
            metavar="PANEL.yaml",
            help="With --simulate: the simulated panel is wired as this file says.",
        ),
    ] = None,
    fault: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=PARTS",
            help="With --simulate: a wiring fault, e.g. exchanged=lamp_test/horn_silence; may be "
            "given several times.",
        ),
    ] = None,
    headless: Annotated[
        bool,
        typer.Option("--headless", help="With --simulate: no screen; a simulated user does it."),
    ] = False,
    seed: Annotated[
        int, typer.Option(help="With --simulate: of bounces and noise; repeats them.")
    ] = 0,
) -> None:
    """Prove a finished panel, part by part.

    Each switch, lever and lamp, the horn, the gauges and the solenoids.

    Finds what is wired elsewhere than the panel file says and offers to correct the file. Nothing
    is commanded to a simulator.
    """
    from panelbridge.cli.bring_up import BringUpArguments, bring_up_command

    arguments = BringUpArguments(
        ports=port or [],
        only=names_in(only),
        progress=progress,
        from_start=from_start,
        report=report,
        simulate=simulate,
        wired_as=wired_as,
        faults=fault or [],
        headless=headless,
        seed=seed,
    )
    raise typer.Exit(bring_up_command(panel, arguments))
