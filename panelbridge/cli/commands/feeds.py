"""Commands for the way to a simulator: listen, send, feed-draft."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


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
