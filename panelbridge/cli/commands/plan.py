"""The command plan: pins for what has none."""

from __future__ import annotations

from typing import Annotated

import typer

from panelbridge.cli.commands.options import PanelPath


def plan(
    panel: PanelPath,
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Write without asking.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be written, and write nothing.")
    ] = False,
) -> None:
    """Propose pins for switches and lamps that have none.

    Write 'nose_green:' alone for a lamp without a pin. Pins that are given never move.
    """
    from panelbridge.wiring.pin_plan.command import plan_command

    raise typer.Exit(plan_command(panel, yes=yes, dry_run=dry_run))
