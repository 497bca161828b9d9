"""Optional extras: libraries that only some features need (the table is in DEVELOPERS.md)."""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType

from panelbridge.errors import UsageError


def require_extra(module: str, extra: str) -> ModuleType:
    """Import a library that comes with an extra.

    Args:
        module: full name of the library's module.
        extra: name of the extra in pyproject.toml.

    Raises:
        UsageError: the library is not installed; one line, with the command that installs it.
    """
    try:
        return import_module(module)
    except ModuleNotFoundError as error:
        # Only the library itself: what an installed one lacks is another fault.
        if error.name is None or not f"{module}.".startswith(f"{error.name}."):
            raise
    python = f'"{sys.executable}"' if " " in sys.executable else sys.executable
    command = f'{python} -m pip install "panelbridge[{extra}]"'
    raise UsageError(f"this needs the extra '{extra}', which is not installed: {command}")
