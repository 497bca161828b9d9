"""The file of each run: where it is published, and the token; only its user can read it.

A run that was killed leaves its file; a viewer that finds no program at its port removes it.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import msgspec

from panelbridge.errors import UsageError

_LONGEST = 10_000


class PublishedRun(msgspec.Struct, frozen=True):
    """A run that is published.

    Attributes:
        run: its random name; another run has another.
        panel: name of the panel, for people.
        process: number of the process that runs it.
        host: the address that its publisher listens at.
        port: of the viewers.
        token: what a viewer must know.
    """

    run: str
    panel: str
    process: int
    host: str
    port: int
    token: str

    @property
    def address(self) -> str:
        """``host:port`` for other computers."""
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"


def runs_folder() -> Path:
    """Where the files are. Raises: UsageError, when this user has no home."""
    try:
        return Path.home() / ".panelbridge" / "runs"
    except RuntimeError as error:
        raise UsageError("this user has no home folder, in which runs are noted") from error


def write_run(folder: Path, run: PublishedRun) -> Path:
    """Write the file of a run; it is readable for this user alone from its first byte on.

    Raises:
        UsageError: it cannot be written.
    """
    path = folder / f"{run.run}.json"
    beside = folder / f".{run.run}.{secrets.token_hex(4)}.tmp"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        number = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with open(number, "wb") as file:
            file.write(msgspec.json.encode(run))
        os.replace(beside, path)
    except OSError as error:
        what = f"the file of this run cannot be written: {error.strerror or error}"
        raise UsageError(what, str(path), "viewers find the run by it") from error
    return path


def remove_run(path: Path) -> None:
    """Remove the file of a run that has ended; on Windows it stays while it is read."""
    with suppress(OSError):
        path.unlink()


def published_runs(folder: Path) -> Iterator[tuple[Path, PublishedRun]]:
    """Every file of a run, the newest first; what is none is passed over."""
    found = []
    for path in folder.glob("*.json"):
        try:
            with path.open("rb") as file:
                run = msgspec.json.decode(file.read(_LONGEST), type=PublishedRun)
            found.append((path.stat().st_mtime, path, run))
        except (OSError, msgspec.MsgspecError):
            continue
    found.sort(key=lambda one: one[0], reverse=True)
    for _, path, run in found:
        yield path, run
