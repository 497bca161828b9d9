"""Files that the program writes: only over what is of their own kind, and never half.

A regular file is put in its place whole, at the target of a link. What is no regular file is never
replaced: a device is written to, anything else is refused.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct

from panelbridge.errors import UsageError

_BEGINNING = 1024


class FileKind(Struct, frozen=True):
    """A kind of file that the program writes.

    Attributes:
        words: what it is, with its article: ``a JUnit report``.
        mark: stands within the first 1,024 bytes of every file of this kind.
    """

    words: str
    mark: str


def check_can_be_written(path: Path, kind: FileKind) -> None:
    """Check before a long run that ``path`` can be written after it.

    Raises:
        UsageError: there is no such folder, or something else stands there.
    """
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        if not path.parent.is_dir():
            raise UsageError(
                "the folder of this file is not there", str(path), "Make it first"
            ) from None
        return
    except OSError as error:
        raise cannot_write(path, error) from error
    if stat.S_ISDIR(mode):
        raise UsageError("this is a folder, and a file's name is needed", str(path))
    if stat.S_ISCHR(mode):
        return
    if not stat.S_ISREG(mode):
        raise UsageError("this is not a file that can be written", str(path), "Name another file")
    try:
        with path.open("rb") as file:
            beginning = file.read(_BEGINNING)
    except OSError as error:
        raise cannot_write(path, error) from error
    if beginning and kind.mark.encode() not in beginning:
        raise UsageError(
            f"this file is there already and is not {kind.words} of this program",
            str(path),
            "Nothing was overwritten: name another file, or delete this one first",
        )


def write_text(path: Path, text: str, kind: FileKind) -> None:
    """Write ``text`` as UTF-8 with line feeds beside ``path``, then put it in its place.

    Raises:
        UsageError: the file cannot be written, or another kind of file stands there.
    """
    check_can_be_written(path, kind)
    try:
        if path.exists() and not path.is_file():
            with path.open("w", encoding="utf-8", newline="\n") as device:
                device.write(text)
            return
        with in_place_of(path) as beside:
            beside.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise cannot_write(path, error) from error


@contextmanager
def in_place_of(path: Path) -> Iterator[Path]:
    """A file beside ``path`` that takes its place when the block ends without an exception.

    Where ``path`` is a link, it is the target whose place is taken. Raises: OSError.
    """
    place = Path(os.path.realpath(path))
    beside = place.with_name(f".{place.name}.{os.getpid()}.tmp")
    try:
        yield beside
        os.replace(beside, place)
    finally:
        beside.unlink(missing_ok=True)


def cannot_write(path: Path, error: OSError) -> UsageError:
    """That a file cannot be written, and why."""
    return UsageError(
        f"this file cannot be written: {error.strerror or error}",
        str(path),
        "Is its folder there, may you write in it, is the file open in another program?",
    )
