"""Atomic writes: into a temporary file, which is then renamed."""

from __future__ import annotations

import os
from pathlib import Path

from panelbridge.errors import UsageError


def write_text(path: Path, text: str) -> None:
    """Write ``text`` as UTF-8 with line feeds beside ``path``, then put it in its place.

    Raises:
        UsageError: the file cannot be written.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.tmp")
    try:
        beside.write_text(text, encoding="utf-8", newline="\n")
        os.replace(beside, path)
    except OSError as error:
        raise UsageError(
            f"this file cannot be written: {error.strerror or error}",
            str(path),
            "Is its folder there, may you write in it, is the file open in another program?",
        ) from error
    finally:
        beside.unlink(missing_ok=True)


def check_can_be_written(path: Path) -> None:
    """Check before a long run that ``path`` can be written after it. Raises: UsageError."""
    if path.is_dir():
        raise UsageError("this is a folder, and a file's name is needed", str(path))
    if not path.parent.is_dir():
        raise UsageError("the folder of this file is not there", str(path), "Make it first")
