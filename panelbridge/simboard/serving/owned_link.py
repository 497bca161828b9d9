"""The symbolic link to a served board, and the lock that shows that the board is alive."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from panelbridge.clock import Clock
from panelbridge.errors import UsageError
from panelbridge.link.ports.link_owner import KIND, owner_file

_TRIES = 5
_WAIT_S = 0.02
"""A host that looks whether the owner lives holds the lock for an instant."""


class OwnedLink:
    """A link of this process, from the first moment to ``close``.

    Args:
        path: where it is to be; takes the place of another link whose owner has ended.
        clock: real time.

    Raises:
        UsageError: something else stands there, another board serves it, or it cannot be made.
    """

    def __init__(self, path: Path, clock: Clock) -> None:
        self._path = path
        self._owner = owner_file(path)
        self._target = ""
        if path.exists() and not path.is_symlink():
            raise UsageError(
                f"{path} exists and is not a symbolic link", hint="give another --link"
            )
        try:
            self._fd = self._lock(clock)
        except OSError as error:
            raise UsageError(f"the link cannot be made: {error}") from error

    def point_to(self, target: str) -> None:
        """Let it lead to ``target``. Raises: UsageError."""
        try:
            self._path.unlink(missing_ok=True)
            self._path.symlink_to(target)
        except OSError as error:
            raise UsageError(f"the link cannot be made: {error}") from error
        self._target = target

    def remove(self) -> None:
        """Remove it, if it is still ours; the place stays taken."""
        with contextlib.suppress(OSError):
            if self._target and os.readlink(self._path) == self._target:
                self._path.unlink()
        self._target = ""

    def close(self) -> None:
        """Remove it and leave the place to others."""
        if self._fd >= 0:
            self.remove()
            self._owner.unlink(missing_ok=True)
            os.close(self._fd)
            self._fd = -1

    def _lock(self, clock: Clock) -> int:
        import fcntl

        for _ in range(_TRIES):
            fd = os.open(self._owner, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o644)
            try:
                fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
                if os.path.samestat(os.fstat(fd), os.stat(self._owner)):
                    self._sign(fd)
                    return fd
                os.close(fd)  # its last owner has removed it meanwhile
            except BlockingIOError:
                os.close(fd)
                clock.sleep_until(clock.now() + _WAIT_S)
            except BaseException:
                os.close(fd)
                raise
        raise UsageError(
            f"another simulated board serves {self._path}", hint="stop it, or give another --link"
        )

    def _sign(self, fd: int) -> None:
        before = os.read(fd, len(KIND))
        if before and before != KIND.encode():
            raise UsageError(
                f"{self._owner} is not a file of a simulated board", hint="give another --link"
            )
        os.ftruncate(fd, 0)
        os.pwrite(fd, f"{KIND}, process {os.getpid()}\n".encode(), 0)
