"""Which files a command line means: patterns and folders.

Windows' command prompt hands over ``*`` and ``?`` as they are typed.
"""

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


ENDINGS = (".yaml", ".yml")


def yaml_files(folder: Path) -> Iterator[Path]:
    """The YAML files of a folder and of all its folders, sorted, but for hidden ones."""
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if name.lower().endswith(ENDINGS) and not name.startswith("."):
                yield Path(place, name)


def each_yaml_file(paths: Iterable[Path | str]) -> Iterator[Path]:
    """Each of ``paths``; in place of a folder the YAML files in it.

    Raises:
        UsageError: nothing fits a pattern, or a folder holds no YAML file.
    """
    for path in each_file(paths):
        if not os.path.isdir(path):
            yield path
            continue
        found = [*yaml_files(path)]
        if not found:
            raise UsageError("this folder holds no YAML file", str(path), "Name files or folders")
        yield from found
