"""A file's bytes as text; everything that makes a file unreadable is a problem with a hint."""

from __future__ import annotations

import re
import stat
from pathlib import Path

from panelbridge.config.words import did_you_mean
from panelbridge.errors import ConfigProblem

MAX_BYTES = 256 * 1024
"""Largest file that is read, bytes; a large panel has about 20 000."""

# Control characters, line breaks that editors do not show, and invisible marks. A text read from
# UTF-8 cannot hold halves of surrogate pairs, but a caller's own text can.
_REFUSED = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)
_LINE_END = re.compile("\r\n|\r|\n")


def place_in(text: str, index: int) -> tuple[int, int]:
    """1-based line and column of the character at ``index``."""
    line, begin = 1, 0
    for end in _LINE_END.finditer(text, 0, index):
        line, begin = line + 1, end.end()
    return line, index - begin + 1


class NotAFile(OSError):  # noqa: N818 - named for what happened
    """A path that names a folder, a pipe, a socket or a device.

    Args:
        thing: what it is, with its article.
    """

    def __init__(self, thing: str) -> None:
        super().__init__(thing)
        self.thing = thing


_THINGS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def first_bytes(path: Path, most: int) -> bytes:
    """The first ``most`` bytes of the regular file at ``path``, or of the one that it links to.

    What is no file is refused before it is opened: opening a pipe waits for its writer, and opening
    a serial port restarts many boards.

    Raises:
        NotAFile: it is a folder, a pipe, a socket or a device.
        OSError, ValueError: it cannot be read.
    """
    mode = path.stat().st_mode
    for is_one, thing in _THINGS:
        if is_one(mode):
            raise NotAFile(thing)
    with path.open("rb") as stream:
        return stream.read(most)


def read_text(path: Path) -> str | ConfigProblem:
    """The text of the file at ``path``, without its byte order mark, or why it cannot be read."""
    try:
        data = first_bytes(path, MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        return ConfigProblem(str(path), 0, 0, *_why_not(path, error))
    if len(data) > MAX_BYTES:
        what = f"this file is larger than {MAX_BYTES // 1024} KiB"
        return ConfigProblem(str(path), 0, 0, what, "Is it the file that you meant?")
    return decode(data, str(path))


def _why_not(path: Path, error: OSError | ValueError) -> tuple[str, str]:
    """What hinders reading ``path``, and what to do."""
    if isinstance(error, ValueError):  # a zero byte in the name
        return "this cannot be the name of a file", ""
    if isinstance(error, FileNotFoundError):
        return "there is no such file", _alike(path)
    if isinstance(error, NotAFile):
        hint = "Name a .yaml file" + " in it" * (error.thing == "a folder")
        return f"this is {error.thing}, not a file", hint
    if isinstance(error, PermissionError):
        return "you may not read this file", "Check its permissions or who owns it"
    reason = error.strerror or "unknown reason"
    return f"this file cannot be read ({reason})", "Check the path and the name"


def decode(data: bytes, file: str) -> str | ConfigProblem:
    """``data`` as text, or what is wrong with it."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        hint = "Save it as UTF-8 in your editor"
        return ConfigProblem(file, 1, 1, "this file is saved as UTF-16", hint)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        place = place_in(*_good_part(data, error.start))
        hint = "Save the file as UTF-8 in your editor, or type the character again"
        return ConfigProblem(file, *place, "this character is not UTF-8", hint)
    text = text.removeprefix("\ufeff")
    return refuse_characters(text, file) or text


def refuse_characters(text: str, file: str) -> ConfigProblem | None:
    """The problem of the first character that no text file should hold, if there is one."""
    found = _REFUSED.search(text)
    if found is None:
        return None
    what = f"an invisible control character (number {ord(found.group()):X} hexadecimal)"
    hint = "Delete it: put the cursor there and type that part again. Is it a text file at all?"
    return ConfigProblem(file, *place_in(text, found.start()), what, hint)


def _good_part(data: bytes, end: int) -> tuple[str, int]:
    text = data[:end].decode("utf-8").removeprefix("\ufeff")
    return text, len(text)


def _alike(path: Path) -> str:
    try:
        names = sorted(p.name for p in path.parent.iterdir() if p.suffix in (".yaml", ".yml"))
    except OSError:
        return f"There is no folder {path.parent.as_posix()} either; check the path"
    return did_you_mean(path.name, names) or "Check the path and the name"
