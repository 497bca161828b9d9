"""Arguments and options that several commands have."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

PanelPath = Annotated[Path, typer.Argument(metavar="PANEL.yaml", help="The panel file.")]
Ports = Annotated[
    list[str] | None,
    typer.Option(
        "--port",
        metavar="URL",
        help="Port of the board: COM5, /dev/ttyACM0, socket://HOST:PORT. With several boards "
        "NAME=URL, once for each.",
    ),
]
Simulate = Annotated[
    bool, typer.Option("--simulate", help="Use simulated boards instead of ports.")
]
