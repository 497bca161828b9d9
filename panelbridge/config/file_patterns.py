"""File names with ``*`` and ``?``: Windows' command prompt hands them over as they are typed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from glob import glob, has_magic
from pathlib import Path

from panelbridge.errors import UsageError


def each_file(paths: Iterable[Path | str]) -> Iterator[Path]:
    """Each of ``paths``; in place of a pattern the files that fit it, by name.

    A file that is really called so is no pattern.

    Raises:
        UsageError: nothing fits a pattern.
    """
    for given in paths:
        text = str(given)
        if not has_magic(text) or os.path.exists(text):
            yield Path(given)
            continue
        found = sorted(glob(text, recursive=True))
        if not found:
            raise UsageError("no file fits this pattern", text, "Check the folder and the ending")
        yield from map(Path, found)
