"""Commands with boards: bench, simboard, ports."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.cli.commands.options import Signals, Vcd, names_in, timeline_files
from panelbridge.printing import say

_NO_BOARD = 1
"""Exit code when something that was asked is no board of ours."""


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


def ports(
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[PANEL.yaml or PORT]...",
            help="Panel files, or folders of them, that may say what a port is for; the current "
            "folder unless given. With --ask the ports to ask.",
        ),
    ] = None,
    ask: Annotated[
        bool,
        typer.Option(
            "--ask",
            help="Open the named ports and ask what is there. Opening a port can reset its board.",
        ),
    ] = False,
    baud: Annotated[
        int | None,
        typer.Option(metavar="BIT/S", min=300, max=4_000_000, help="With --ask: their speed."),
    ] = None,
) -> None:
    """List the serial ports of this computer, without opening any."""
    from panelbridge.clock import LiveClock
    from panelbridge.errors import UsageError
    from panelbridge.link.port_list import Answer, ask_ports, boards_in, found_ports, list_lines
    from panelbridge.link.port_list.panel_ports import is_panel_name
    from panelbridge.link.ports import PortOpener

    given = names or []
    files = [Path(name) for name in given if is_panel_name(name)]
    asked = [name for name in given if not is_panel_name(name)]
    boards = boards_in(files or [Path()])
    if not ask:
        if asked:
            hint = f"to open it and ask what is there: panelbridge ports --ask {asked[0]}"
            raise UsageError("this is no panel file", asked[0], hint)
        for line in list_lines(found_ports(), boards):
            say(line)
        return
    asked = asked or [board.port for board in boards if board.port and files]
    if not asked:
        hint = "name them: panelbridge ports --ask COM5 ('panelbridge ports' lists them)"
        raise UsageError("no port to ask", "--ask", hint)
    say("Opening a port can reset its board. Each is given five seconds to answer.")
    missed: list[Answer] = []

    def report(answer: Answer) -> None:
        say(f"{answer.port}: {answer.lines[0]}")
        for line in answer.lines[1:]:
            say(f"    {line}")
        if not answer.is_board:
            missed.append(answer)

    ask_ports(asked, boards, PortOpener(), LiveClock(), report, baud)
    if missed:
        raise typer.Exit(_NO_BOARD)
