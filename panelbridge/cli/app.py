"""Every command with its options; the work is done elsewhere."""

from __future__ import annotations

import errno
import sys
from pathlib import Path
from typing import Annotated

import typer

from panelbridge import __version__
from panelbridge.errors import PanelbridgeError
from panelbridge.printing import end_output, say

USER_ERROR = 2
"""Exit code for an error in a file, an option or a port's name."""

app = typer.Typer(
    name="panelbridge",
    help="Runs a home-cockpit landing-gear-and-brake panel. For simulation only.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

Headless = Annotated[
    bool, typer.Option("--headless", help="No screen: print the events, one a line.")
]


def run_app(arguments: list[str]) -> int:
    """Run a command line and return its exit code."""
    try:
        app(args=arguments, prog_name="panelbridge")
    except PanelbridgeError as error:
        say(f"panelbridge: {error}", sys.stderr)
        return USER_ERROR
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else int(end.code is not None)
    except OSError as error:  # of the help that the library prints
        if error.errno not in (errno.EPIPE, errno.ENOSPC):
            raise
    finally:
        end_output()
    return 0


def _print_version(wanted: bool) -> None:
    if wanted:
        say(f"panelbridge {__version__}")
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
        list[Path],
        typer.Argument(metavar="FILE...", help="Panel, aircraft, feed or scenario files."),
    ],
    feed: Annotated[
        Path | None,
        typer.Option(metavar="FEED.yaml", help="Check panel files with this feed file."),
    ] = None,
) -> None:
    """Check files and print every error.

    Each error comes with its file, line and column, and with what to do.
    """
    from panelbridge.bench.language.scenario_kind import scenario_kinds
    from panelbridge.config.commands import check as check_files

    raise typer.Exit(check_files(files, scenario_kinds(), feed))


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="panel, aircraft, feed or scenario.")],
    reference: Annotated[
        bool, typer.Option("--reference", help="Print a readable reference of all keys instead.")
    ] = False,
) -> None:
    """Print the JSON Schema of a kind of file, for editors."""
    from panelbridge.bench.language.scenario_kind import scenario_kinds
    from panelbridge.config.commands import schema as print_schema

    raise typer.Exit(print_schema(kind, scenario_kinds(), reference=reference))


@app.command()
def charts(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="Draw this chart only.")
    ] = None,
    form: Annotated[
        str, typer.Option("--format", metavar="FORM", help="mermaid (a diagram) or table.")
    ] = "mermaid",
) -> None:
    """Draw the charts of the aircraft's systems.

    As Markdown: the states of each system, and the triggers that change them.
    """
    from panelbridge.config.chart_texts import charts_text

    raise typer.Exit(int(not say(charts_text(name, form), end="")))


@app.command()
def names(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Panel or aircraft file.")],
) -> None:
    """List the names that scenarios can use.

    Every signal, fault target and event of a panel or an aircraft.
    """
    from panelbridge.bench.language.name_list import name_tables, names_of

    raise typer.Exit(int(not say(name_tables(names_of(file)))))


@app.command()
def run(
    panel: Annotated[Path, typer.Argument(metavar="PANEL.yaml", help="The panel file.")],
    port: Annotated[
        list[str] | None,
        typer.Option(
            metavar="URL",
            help="Port of the board: COM5, /dev/ttyACM0, socket://HOST:PORT. With several boards "
            "NAME=URL, once for each.",
        ),
    ] = None,
    simulate: Annotated[
        bool, typer.Option("--simulate", help="Use simulated boards instead of ports.")
    ] = False,
    feed: Annotated[
        Path | None, typer.Option(metavar="FEED.yaml", help="Feed file instead of the panel's own.")
    ] = None,
    headless: Headless = False,
    seconds: Annotated[
        float | None, typer.Option(help="Stop after so many seconds.", min=0.0)
    ] = None,
    frames: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="When a board's link fails, write its last frames into this file."
        ),
    ] = None,
) -> None:
    """Run a panel: boards, aircraft logic, lamps and horn."""
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
def listen(
    feed: Annotated[Path, typer.Argument(metavar="FEED.yaml", help="The feed file.")],
    panel: Annotated[
        Path | None,
        typer.Option(metavar="PANEL.yaml", help="Panel whose aircraft the feed must fit."),
    ] = None,
    seconds: Annotated[
        float | None, typer.Option(help="Stop after so many seconds.", min=0.0)
    ] = None,
    every: Annotated[
        float, typer.Option(metavar="SECONDS", help="Period of the lines.", min=0.1, max=60.0)
    ] = 1.0,
) -> None:
    """Show what a simulator sends, and what is read of it.

    Each value as it was sent and as the panel reads it, and why anything was refused.
    """
    from panelbridge.cli.listen import listen as listen_to

    raise typer.Exit(listen_to(feed, panel=panel, seconds=seconds, every_s=every))


@app.command()
def send(
    feed: Annotated[Path, typer.Argument(metavar="FEED.yaml", help="The feed file.")],
    commands: Annotated[
        list[str], typer.Argument(metavar="NAME=VALUE...", help="gear=up, left_brake=0.5.")
    ],
    panel: Annotated[
        Path | None,
        typer.Option(metavar="PANEL.yaml", help="Panel whose aircraft the feed must fit."),
    ] = None,
    wait: Annotated[
        float,
        typer.Option(
            metavar="SECONDS", help="Longest time for a connection and its answers.", min=0.1
        ),
    ] = 5.0,
) -> None:
    """Try a command: send it to the simulator once.

    It is sent whatever the simulator's data says: use it while you set a feed file up.
    """
    from panelbridge.cli.send import send as send_commands

    raise typer.Exit(send_commands(feed, commands, panel=panel, wait_s=wait))


@app.command()
def demo(
    headless: Headless = False,
    speed: Annotated[
        float, typer.Option(metavar="N", help="Fly N times as fast as real time.")
    ] = 1.0,
    panel: Annotated[
        Path | None, typer.Option(metavar="PANEL.yaml", help="Fly with your own panel file.")
    ] = None,
    flight_model: Annotated[
        bool,
        typer.Option(
            "--flight-model",
            help="Fly with an aircraft's dynamics instead of a script (extra 'fdm').",
        ),
    ] = False,
) -> None:
    """Fly the demonstration flight with a simulated board."""
    from panelbridge.cli.live import run_demo

    raise typer.Exit(run_demo(panel, headless=headless, speed=speed, flight_model=flight_model))


@app.command()
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
    signals: Annotated[
        str,
        typer.Option(
            "--signals",
            metavar="NAME,...",
            help="Show these signals in the timeline; * and ? may stand for letters.",
        ),
    ] = "",
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
            timeline=timeline,
            signals=[name.strip() for name in signals.split(",") if name.strip()],
            coverage=coverage,
            port=port or [],
            panel=panel,
        )
    )


@app.command()
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


@app.command()
def ports() -> None:
    """List the serial ports of this computer."""
    from serial.tools.list_ports import comports

    found = sorted(comports())
    for port in found:
        usb = f"  USB {port.vid:04X}:{port.pid:04X}" if port.vid is not None else ""
        say(f"{port.device:<20} {port.description}{usb}")
    if not found:
        say("no serial ports: is the board plugged in, with a cable that carries data?")


@app.command("feed-draft")
def feed_draft(
    udp: Annotated[
        str | None, typer.Option(metavar="PORT", help="Listen at this UDP port (or ADDRESS:PORT).")
    ] = None,
    tcp: Annotated[
        str | None, typer.Option(metavar="HOST:PORT", help="Connect to this TCP server.")
    ] = None,
    serial: Annotated[
        str | None, typer.Option(metavar="PORT", help="Read this serial port.")
    ] = None,
    mqtt: Annotated[
        str | None, typer.Option(metavar="HOST:PORT", help="Read every topic of this MQTT broker.")
    ] = None,
    baud: Annotated[
        int | None, typer.Option(help="Speed of the serial line, bit/s.", min=300)
    ] = None,
    user: Annotated[str | None, typer.Option(help="User name at the broker.")] = None,
    password_env: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="Environment variable with the broker's password."),
    ] = None,
    seconds: Annotated[float, typer.Option(help="How long to listen.", min=0.5, max=600.0)] = 5.0,
    output: Annotated[
        Path | None, typer.Option(metavar="FILE.yaml", help="Write the draft into this file.")
    ] = None,
) -> None:
    """Draft a feed file for a simulator.

    Listens to what it sends and guesses format, fields and rates; guesses are marked as guesses.
    """
    from panelbridge.feeds.draft.command import feed_draft as draft

    raise typer.Exit(
        draft(
            {"udp": udp, "tcp": tcp, "serial": serial, "mqtt": mqtt},
            baud=baud,
            login={"user": user, "password_env": password_env},
            seconds=seconds,
            output=output,
        )
    )
