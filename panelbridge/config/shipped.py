"""Finds the configuration files that come with the program."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent
_PLACES = (_PACKAGE / "shipped_configs", _PACKAGE.parent / "configs")
"""In an installed package, and in a checkout."""


def shipped_folder() -> Path:
    """The folder of the shipped files.

    Raises:
        FileNotFoundError: the installation is incomplete.
    """
    for place in _PLACES:
        if (place / "panels").is_dir():
            return place
    raise FileNotFoundError(f"no shipped configuration files in {_PLACES[0]} or {_PLACES[1]}")


def shipped_config(name: str) -> Path:
    """Path of the shipped file ``name``, e.g. ``panels/demo_panel.yaml``.

    Raises:
        FileNotFoundError: there is no such shipped file.
    """
    path = shipped_folder() / name
    if not path.is_file():
        raise FileNotFoundError(f"no shipped configuration file {name} in {shipped_folder()}")
    return path
