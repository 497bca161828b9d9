"""The program: its commands in their order, and what becomes of errors."""

from __future__ import annotations

import errno
import sys
from collections.abc import Callable
from functools import cache
from typing import Annotated

import typer
from typer.main import get_command

from panelbridge import __version__
from panelbridge.cli.commands import boards, building, feeds, files, panels, watching
from panelbridge.errors import PanelbridgeError
from panelbridge.printing import chosen_encoding, end_output, say

USER_ERROR = 2
"""Exit code for an error in a file, an option or a port's name."""

app = typer.Typer(
    name="panelbridge",
    help="Runs a home-cockpit landing-gear-and-brake panel. For simulation only.",
    add_completion=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def run_app(arguments: list[str]) -> int:
    """Run a command line and return its exit code."""
    try:
        _command()(args=arguments, prog_name="panelbridge")
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


@cache
def _command() -> Callable[..., object]:
    """The commands with their options, which the library reads from their signatures."""
    return get_command(app)


def _print_version(wanted: bool) -> None:
    if wanted:
        say(f"panelbridge {__version__}")
        raise typer.Exit


_WHERE_TO_BEGIN = """\
panelbridge runs a home-cockpit landing-gear-and-brake panel. For simulation only.

Where to begin:
  panelbridge demo                                see a whole flight, without a board or a simulator
  panelbridge new my_panel                        make the files of a first panel in a folder
  panelbridge check my_panel                      check them, as often as you like
  panelbridge run my_panel/panel.yaml --simulate  try it with simulated boards
  panelbridge wiring my_panel/panel.yaml          draw the wiring, to print
  panelbridge bring-up my_panel/panel.yaml        prove it, once it is wired

All commands: panelbridge --help"""


@app.callback(invoke_without_command=True)
def _options(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    chosen_encoding(None)  # says so when the variable names none
    if context.invoked_subcommand is None:
        say(_WHERE_TO_BEGIN)


for command in (
    *(panels.demo, building.new, building.plan, files.check, building.wiring, building.bring_up),
    *(panels.run, watching.watch, watching.web, boards.bench),
    *(files.names, files.schema, files.charts),
    *(feeds.listen, feeds.send, feeds.feed_draft),
    *(boards.simboard, boards.ports),
):
    app.command(command.__name__.replace("_", "-"))(command)
