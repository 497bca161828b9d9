"""Commands that look at files: check, schema, charts, names."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from panelbridge.printing import say


def check(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="PATH...",
            help="Panel, aircraft, feed or scenario files, or folders that hold them.",
        ),
    ],
    feed: Annotated[
        Path | None,
        typer.Option(metavar="FEED.yaml", help="Check panel files with this feed file."),
    ] = None,
) -> None:
    """Check files and print every error.

    Each error comes with its file, line and column, and with what to do. Of panel files also the
    currents, against the limits of chips, boards and USB.
    """
    from panelbridge.bench.language.scenario_kind import scenario_kinds
    from panelbridge.config.commands import check as check_files
    from panelbridge.wiring.electrics.check import check_electrics

    raise typer.Exit(check_files(files, scenario_kinds(), feed, check_electrics))


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


def names(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Panel or aircraft file.")],
) -> None:
    """List the names that scenarios can use.

    Every signal, fault target and event of a panel or an aircraft.
    """
    from panelbridge.bench.language.name_list import name_tables, names_of

    raise typer.Exit(int(not say(name_tables(names_of(file)))))
