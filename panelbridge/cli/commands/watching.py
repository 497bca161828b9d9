"""Commands for other screens: watch, web."""

from __future__ import annotations

from typing import Annotated

import typer

Address = Annotated[
    str | None,
    typer.Argument(
        metavar="[ADDRESS]",
        help="HOST:PORT of the run; without it the one that you run on this computer.",
    ),
]
Page = Annotated[
    str | None, typer.Option(metavar="NAME", help="Open this page, for example lamps.")
]
Kiosk = Annotated[bool, typer.Option("--kiosk", help="Show one page alone, without keys.")]


def watch(
    address: Address = None,
    page: Page = None,
    kiosk: Kiosk = False,
    list_: Annotated[
        bool,
        typer.Option("--list", help="List the runs of this computer with their tokens, and end."),
    ] = False,
) -> None:
    """Show a run's screen in another terminal.

    Or on another computer: set PANELBRIDGE_TOKEN to the token of the run. Start the run with
    --publish.
    """
    from panelbridge.cli.watching import list_runs, watch_run

    raise typer.Exit(list_runs() if list_ else watch_run(address, page=page, kiosk=kiosk))


def web(
    address: Address = None,
    port: Annotated[
        int, typer.Option(help="Port for browsers; 0 = any that is free.", min=0, max=65535)
    ] = 8000,
    at: Annotated[
        str,
        typer.Option(
            "--at", metavar="HOST", help="Serve other computers and tablets at this address."
        ),
    ] = "127.0.0.1",
    font_size: Annotated[
        int, typer.Option("--font-size", metavar="PIXELS", help="For a tablet.", min=4, max=80)
    ] = 16,
    page: Page = None,
    kiosk: Kiosk = False,
) -> None:
    """Show a run's screen in a browser.

    It needs the extra 'web'. Start the run with --publish.
    """
    from panelbridge.cli.browsing import serve_browsers

    raise typer.Exit(
        serve_browsers(address, at=at, port=port, font_size=font_size, page=page, kiosk=kiosk)
    )
