"""The command ``watch``: the screen of a run in another terminal, or on another computer."""

from __future__ import annotations

import os

from panelbridge.cli.run_link import link_to, read_content
from panelbridge.printing import say
from panelbridge.watch.find_run import HOW, living_runs
from panelbridge.watch.priority import let_the_run_go_first
from panelbridge.watch.run_files import runs_folder


def list_runs() -> int:
    """Print the runs of this user on this computer; returns the exit code."""
    runs = living_runs(runs_folder())
    for run in runs:
        say(f"{run.address:<24} {run.panel}")
        say(f"{'':<24} token {run.token}")
    if not runs:
        say(f"no run of this user is published on this computer; {HOW}")
    return 0


def watch_run(address: str | None, *, page: str | None, kiosk: bool) -> int:
    """Show a run until the screen is closed; returns the exit code.

    Args:
        address: of the run; None = the only one of this user on this computer.
        page: name of the page that is open first; None = the first one.
        kiosk: this page alone, without keys.

    Raises:
        UsageError: there is no such run or page, or no terminal.
    """
    from panelbridge.cli.terminal import check_terminal
    from panelbridge.cli.viewer_screen import OTHER_RUN, page_named, show_viewer

    section = page_named(page)
    if "TEXTUAL_DRIVER" not in os.environ:  # else a browser is the terminal
        check_terminal(hint="Start it in a terminal, or use: panelbridge web")
    while True:
        link = link_to(address)
        try:
            welcome = link.start()
            let_the_run_go_first()
            code = show_viewer(link, welcome, read_content(welcome), section, kiosk=kiosk)
        finally:
            link.close()
        if code != OTHER_RUN:
            return code
