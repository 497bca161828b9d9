"""The commands: parse, call, print. A user's error ends with exit code 2 and no traceback.

``main`` is the program; ``commands`` has the options of each command.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and exit with its code.

    Args:
        arguments: without the program's name; None = those of the process.
    """
    from panelbridge.cli.app import run_app

    sys.exit(run_app(list(sys.argv[1:] if arguments is None else arguments)))
