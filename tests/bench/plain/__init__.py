"""Files of an aircraft with few systems, and of panels for it: what runs scenarios is tested on it.

So the times and values that those tests name stand beside them, and are free of what ships.
"""

from __future__ import annotations

from pathlib import Path


def plain_config(name: str) -> Path:
    """Path of a file here, by its name in the folder of shipped files: aircraft/twin_jet.yaml."""
    path = Path(__file__).parent / name
    if not path.is_file():
        raise FileNotFoundError(path)
    return path
