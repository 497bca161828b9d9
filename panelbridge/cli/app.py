"""Every command with its options; the work is done elsewhere."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from panelbridge import __version__
from panelbridge.errors import PanelbridgeError

USER_MISTAKE = 2
"""Exit code for a mistake in a file, an option or a port's name."""

app = typer.Typer(
    name="panelbridge",
    help="Runs a home-cockpit landing-gear-and-brake panel. For simulation only.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

PanelArgument = Annotated[Path, typer.Argument(metavar="PANEL.yaml", help="The panel file.")]
Headless = Annotated[
    bool, typer.Option("--headless", help="No screen: print what happens, a line each.")
]


def run_app(arguments: list[str]) -> int:
    """Run a command line and give its exit code."""
    try:
        app(args=arguments, prog_name="panelbridge")
    except PanelbridgeError as error:
        print(f"panelbridge: {error}", file=sys.stderr)
        return USER_MISTAKE
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else int(end.code is not None)
    return 0


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"panelbridge {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    pass


@app.command()
def check(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="Panel, aircraft or feed files.")
    ],
) -> None:
    """Check files: every mistake with file, line, column and what to do."""
    from panelbridge.config.commands import check as check_files

    raise typer.Exit(check_files(files))


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="panel, aircraft or feed.")],
) -> None:
    """Print the JSON Schema of a kind of file, for editors."""
    from panelbridge.config.commands import schema as print_schema

    raise typer.Exit(print_schema(kind))


@app.command()
def run(
    panel: PanelArgument,
    port: Annotated[
        list[str] | None,
        typer.Option(
            "--port",
            metavar="URL",
            help="Port of the board: COM5, /dev/ttyACM0, socket://HOST:PORT. With several boards "
            "NAME=URL, once for each.",
        ),
    ] = None,
    simulate: Annotated[
        bool, typer.Option("--simulate", help="Use simulated boards instead of ports.")
    ] = False,
    feed: Annotated[
        Path | None,
        typer.Option("--feed", metavar="FEED.yaml", help="Feed file instead of the panel's own."),
    ] = None,
    headless: Headless = False,
    seconds: Annotated[
        float | None,
        typer.Option("--seconds", help="Stop by itself after so many seconds.", min=0.0),
    ] = None,
    frames: Annotated[
        Path | None,
        typer.Option(
            "--frames",
            metavar="FILE",
            help="When a board's link fails, write its last frames into this file.",
        ),
    ] = None,
) -> None:
    """Run a panel: its boards, the aircraft's logic, its lamps and horn."""
    from panelbridge.cli.live import run_panel

    raise typer.Exit(
        run_panel(
            panel,
            ports=port or [],
            simulate=simulate,
            feed=feed,
            headless=headless,
            seconds=seconds,
            frames=frames,
        )
    )


@app.command()
def demo(
    headless: Headless = False,
    speed: Annotated[
        float, typer.Option("--speed", metavar="N", help="Fly N times as fast as real time.")
    ] = 1.0,
    panel: Annotated[
        Path | None,
        typer.Option("--panel", metavar="PANEL.yaml", help="Fly with your own panel file."),
    ] = None,
) -> None:
    """Fly the built-in demonstration flight with a simulated board: nothing else is needed."""
    from panelbridge.cli.live import run_demo

    raise typer.Exit(run_demo(panel, headless=headless, speed=speed))


@app.command()
def simboard(
    panel: Annotated[
        Path | None,
        typer.Option("--panel", metavar="PANEL.yaml", help="Panel file that the board is part of."),
    ] = None,
    name: Annotated[
        str | None, typer.Option("--name", help="Which board of the panel, if it has several.")
    ] = None,
    kind: Annotated[
        str, typer.Option("--kind", help="Kind of a bare board, without a panel file.")
    ] = "mega2560",
    link: Annotated[
        Path | None,
        typer.Option("--link", metavar="PATH", help="Make this path a link to the port."),
    ] = None,
    bounce: Annotated[bool, typer.Option(help="Contacts bounce as real ones do.")] = True,
    noise: Annotated[
        int, typer.Option("--noise", metavar="COUNTS", help="Noise of analogue readings.", min=0)
    ] = 0,
    fault: Annotated[
        list[str] | None,
        typer.Option(
            "--fault",
            metavar="NAME=VALUE",
            help="Fault of the line, e.g. drop=0.01; may be given several times.",
        ),
    ] = None,
    seed: Annotated[
        int | None, typer.Option("--seed", help="Repeat the same bounces and faults.")
    ] = None,
    reset_on_open: Annotated[
        bool, typer.Option("--reset-on-open", help="Opening the port resets the board.")
    ] = False,
) -> None:
    """Serve a simulated board as a port (Linux, macOS); type 'help' for its orders."""
    from panelbridge.simboard.command import serve

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


@app.command()
def ports() -> None:
    """List the serial ports of this computer."""
    from panelbridge.cli.port_list import print_ports

    raise typer.Exit(print_ports())
