"""Commands that run a panel: run, demo."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.cli.commands.options import (
    PanelPath,
    Ports,
    Signals,
    Simulate,
    Timeline,
    Vcd,
    names_in,
    timeline_files,
)

Headless = Annotated[
    bool, typer.Option("--headless", help="No screen: print the events, one a line.")
]

Publish = Annotated[
    bool,
    typer.Option("--publish", help="Let 'panelbridge watch' and 'web' show it on this computer."),
]
PublishAt = Annotated[
    str,
    typer.Option(
        "--publish-at",
        metavar="HOST:PORT",
        help="Let them show it on other computers too, at this address of yours (unencrypted).",
    ),
]
Hands = Annotated[
    bool, typer.Option("--hands", help="Let viewers move the switches of simulated boards.")
]


def run(
    panel: PanelPath,
    port: Ports = None,
    simulate: Simulate = False,
    feed: Annotated[
        Path | None, typer.Option(metavar="FEED.yaml", help="Feed file instead of the panel's own.")
    ] = None,
    headless: Headless = False,
    seconds: Annotated[
        float | None,
        typer.Option(
            help="Stop after so many seconds; with --headless, exit code 1 if a board never came.",
            min=0.0,
        ),
    ] = None,
    frames: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="When a board's link fails, write its last frames into this file."
        ),
    ] = None,
    switches: Annotated[
        bool,
        typer.Option("--switches", help="With --headless: print each switch that moves."),
    ] = False,
    timeline: Timeline = None,
    vcd: Vcd = None,
    signals: Signals = "",
    publish: Publish = False,
    publish_at: PublishAt = "",
    hands: Hands = False,
) -> None:
    """Run a panel: boards, aircraft logic, lamps and horn."""
    from panelbridge.cli.live import run_panel
    from panelbridge.cli.run_options import PublishOptions, TimelineOptions

    raise typer.Exit(
        run_panel(
            panel,
            ports=port or [],
            simulate=simulate,
            feed=feed,
            headless=headless,
            seconds=seconds,
            frames=frames,
            switches=switches,
            viewers=PublishOptions(publish, publish_at, hands),
            timeline=TimelineOptions(timeline_files(timeline, vcd), names_in(signals)),
        )
    )


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
    timeline: Timeline = None,
    vcd: Vcd = None,
    signals: Signals = "",
    publish: Publish = False,
    publish_at: PublishAt = "",
    hands: Hands = False,
) -> None:
    """Fly the demonstration flight with a simulated board."""
    from panelbridge.cli.live import run_demo
    from panelbridge.cli.run_options import PublishOptions, TimelineOptions

    raise typer.Exit(
        run_demo(
            panel,
            headless=headless,
            speed=speed,
            flight_model=flight_model,
            viewers=PublishOptions(publish, publish_at, hands),
            timeline=TimelineOptions(timeline_files(timeline, vcd), names_in(signals)),
        )
    )
