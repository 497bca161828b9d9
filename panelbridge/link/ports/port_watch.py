"""Sees that a port has come back without opening it: its file is there again, or is another one.

So a missing port may be tried seldom, and is used as soon as it is back. Ports without a file
(Windows, addresses, boards in this process) are tried at their time alone.
"""

from __future__ import annotations

import os

FileIdentity = tuple[int, ...]


class PortWatch:
    """The file of one port."""

    def __init__(self, url: str) -> None:
        self._path = url if os.name == "posix" and "://" not in url else ""
        self._last = self._identity()

    @property
    def can_see(self) -> bool:
        """Whether the port has a file."""
        return bool(self._path)

    def has_come(self) -> bool:
        """Whether a file is there that was not when this was last called."""
        before, self._last = self._last, self._identity()
        return self._last is not None and self._last != before

    def _identity(self) -> FileIdentity | None:
        try:
            link, device = os.lstat(self._path), os.stat(self._path)
        except OSError:
            return None
        # A link that is made again may get the number of the one before, but not its time; of a
        # device the time changes with every byte.
        made_ns = link.st_mtime_ns if (link.st_dev, link.st_ino) != _file(device) else 0
        return made_ns, link.st_ino, *_file(device), device.st_rdev


def _file(status: os.stat_result) -> tuple[int, int]:
    return status.st_dev, status.st_ino
