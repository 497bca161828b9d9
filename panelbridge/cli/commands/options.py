"""Arguments and options that several commands have."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.errors import UsageError

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
Timeline = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE",
        help="Write a timeline at the end: a picture (.svg) or a waveform (.vcd).",
    ),
]
Vcd = Annotated[
    Path | None,
    typer.Option(metavar="FILE.vcd", help="Write a waveform, beside the picture of --timeline."),
]
Signals = Annotated[
    str,
    typer.Option(
        "--signals",
        metavar="NAME,...",
        help="Show these signals in the timeline; * and ? may stand for letters.",
    ),
]


def timeline_files(timeline: Path | None, vcd: Path | None) -> tuple[Path, ...]:
    """The files of both options. Raises: UsageError: --vcd names no waveform."""
    if vcd is not None and vcd.suffix.lower() != ".vcd":
        hint = "A picture goes into the file of --timeline"
        raise UsageError(
            f"a waveform cannot be a file that ends with '{vcd.suffix}'", "--vcd", hint
        )
    return tuple(path for path in (timeline, vcd) if path is not None)


def names_in(text: str) -> tuple[str, ...]:
    """Names with commas between them."""
    return tuple(name.strip() for name in text.split(",") if name.strip())
