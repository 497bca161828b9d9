"""Commands with boards: bench, simboard."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.cli.commands.options import Signals, Vcd, names_in, timeline_files


def bench(
    paths: Annotated[
        list[Path],
        typer.Argument(metavar="PATH...", help="Scenario files, or folders that hold them."),
    ],
    junit: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write a JUnit report into this file.")
    ] = None,
    timeline: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Write a timeline: a picture (.svg) or a waveform (.vcd). With several scenarios "
            "the second goes into FILE-2, and so on.",
        ),
    ] = None,
    vcd: Vcd = None,
    signals: Signals = "",
    coverage: Annotated[
        bool, typer.Option("--coverage", help="Report which parts of the logic were not reached.")
    ] = False,
    port: Annotated[
        list[str] | None,
        typer.Option(
            metavar="URL",
            help="Run in real time on the board at this port; simboard://NAME simulates it. With "
            "several boards NAME=URL, once for each.",
        ),
    ] = None,
    panel: Annotated[
        Path | None,
        typer.Option(metavar="PANEL.yaml", help="With --port: panel for scenarios that name none."),
    ] = None,
) -> None:
    """Run scenarios and report the results.

    They run in virtual time without hardware, or with --port in real time on a board.
    """
    from panelbridge.bench.command import bench_command

    raise typer.Exit(
        bench_command(
            paths,
            junit=junit,
            timelines=timeline_files(timeline, vcd),
            signals=names_in(signals),
            coverage=coverage,
            port=port or [],
            panel=panel,
        )
    )


def simboard(
    panel: Annotated[
        Path | None,
        typer.Option(metavar="PANEL.yaml", help="Panel file that the board is part of."),
    ] = None,
    name: Annotated[
        str | None, typer.Option(help="Which board of the panel, if it has several.")
    ] = None,
    kind: Annotated[
        str, typer.Option(help="Kind of a bare board, without a panel file.")
    ] = "mega2560",
    link: Annotated[
        Path | None, typer.Option(metavar="PATH", help="Make this path a link to the port.")
    ] = None,
    bounce: Annotated[bool, typer.Option(help="Contacts bounce as real ones do.")] = True,
    noise: Annotated[
        int, typer.Option(metavar="COUNTS", help="Noise of analogue readings.", min=0)
    ] = 0,
    fault: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=VALUE",
            help="Fault of the line, e.g. drop=0.01; may be given several times.",
        ),
    ] = None,
    seed: Annotated[int | None, typer.Option(help="Repeat the same bounces and faults.")] = None,
    reset_on_open: Annotated[
        bool, typer.Option("--reset-on-open", help="Opening the port resets the board.")
    ] = False,
) -> None:
    """Serve a simulated board as a serial port.

    On Linux and macOS. Type 'help' for the orders that it takes.
    """
    from panelbridge.simboard.serving.command import serve

    raise typer.Exit(
        serve(
            panel=panel,
            name=name,
            kind=kind,
            link=link,
            bounce=bounce,
            noise_counts=noise,
            faults=fault or [],
            seed=seed,
            reset_on_open=reset_on_open,
        )
    )
