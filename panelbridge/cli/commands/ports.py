"""The command ports: which serial ports there are, and what answers at them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.printing import say

_NO_BOARD = 1
"""Exit code when something that was asked is no board of ours."""


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
