"""Puts a new content in place of a file, unless that was changed meanwhile, and keeps the old."""

from __future__ import annotations

import shutil
from contextlib import suppress
from itertools import count
from pathlib import Path

from panelbridge.errors import UsageError
from panelbridge.printing import cannot_write, in_place_of


def old_copy(path: Path, old: bytes) -> Path:
    """Write ``old`` into a new file beside ``path``: ``panel.yaml.old-1``, or the next number.

    Raises:
        UsageError: the file does not hold ``old`` any more, or the copy cannot be written.
    """
    _check_unchanged(path, old)
    for number in count(1):
        copy = path.with_name(f"{path.name}.old-{number}")
        try:
            with copy.open("xb") as file:
                file.write(old)
        except FileExistsError:
            continue
        except OSError as error:
            raise cannot_write(copy, error) from error
        return copy
    raise AssertionError


def put_in_place(path: Path, old: bytes, new: bytes) -> None:
    """Write ``new`` beside the file, or the one that it links to, and rename it: all or nothing.

    Raises:
        UsageError: the file does not hold ``old`` any more, or cannot be written.
    """
    try:
        with in_place_of(path) as beside:
            beside.write_bytes(new)
            with suppress(OSError):  # a file system without permissions
                shutil.copymode(path, beside)
            _check_unchanged(path, old)
    except OSError as error:
        raise cannot_write(path, error) from error


def _check_unchanged(path: Path, old: bytes) -> None:
    try:
        now = path.read_bytes()
    except OSError as error:
        raise cannot_write(path, error) from error
    if now != old:
        what = "this file was changed by another program meanwhile"
        raise UsageError(what, str(path), "Nothing was written: run the command again")
