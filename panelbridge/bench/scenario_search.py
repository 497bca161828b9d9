"""Which scenario files a command line means: files as they are, folders searched."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from panelbridge.config.file_patterns import each_file, yaml_files
from panelbridge.config.yaml_text import MAX_BYTES, first_bytes
from panelbridge.errors import UsageError

OTHER_KINDS = ("panel", "aircraft", "feed", "conditions")
"""Files of these kinds stand beside scenarios and are no scenarios."""
_KIND = re.compile(r"""^kind[ \t]*:[ \t]*["']?([A-Za-z_]+)""", re.MULTILINE)


def find_scenarios(paths: Sequence[Path | str]) -> list[Path]:
    """The scenario files of ``paths``, each once: files in the order given, folders sorted.

    A folder is searched with all its folders, but for hidden ones. Every YAML file in it counts
    that is not plainly of another kind: a misspelling in its first lines is reported, not skipped.

    Raises:
        UsageError: no such file or folder, a pattern that nothing fits, or a folder without a
            scenario.
    """
    found: dict[Path, Path] = {}
    for path in each_file(paths):
        for file in _files_of(path):
            found.setdefault(file.resolve(), file)
    return [*found.values()]


def kind_of(path: Path) -> str:
    """What ``kind:`` of a YAML file says, read without parsing it; empty when it says nothing."""
    try:
        text = first_bytes(path, MAX_BYTES).decode("utf-8-sig", errors="replace")
    except OSError:
        return ""  # the loader reports why it cannot be read
    match = _KIND.search(text.replace("\r", "\n"))
    return match[1] if match else ""


def _files_of(path: Path) -> Iterable[Path]:
    if not os.path.exists(path):  # that of Path raises for a name that is too long
        raise UsageError(
            "there is no such file or folder", str(path), "Give scenario files or their folders"
        )
    if not path.is_dir():
        return [path]
    files = [file for file in yaml_files(path) if kind_of(file) not in OTHER_KINDS]
    if not files:
        raise UsageError(
            "this folder holds no scenario",
            str(path),
            "Scenarios are YAML files that begin with 'kind: scenario'",
        )
    return files
