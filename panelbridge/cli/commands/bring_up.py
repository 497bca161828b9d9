"""The command bring-up."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.cli.commands.options import PanelPath, Ports, Simulate


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
        only=[name.strip() for name in only.split(",") if name.strip()],
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
