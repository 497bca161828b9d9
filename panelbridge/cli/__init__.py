"""The commands: parse, call, print. A user's mistake ends with exit code 2 and no traceback."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; ends the process with its exit code.

    Args:
        arguments: without the program's name; None = those of the process.
    """
    from panelbridge.cli.app import run_app

    sys.exit(run_app(list(sys.argv[1:] if arguments is None else arguments)))
