"""Lines on the console; one that is closed or full ends the printing and not the work.

``panelbridge check ... | head -1`` closes the pipe after its first line: the exit code still
counts. On a full disk what could not be written is said once, on stderr.
"""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from typing import TextIO

from panelbridge.printing.clean_text import clean_text

_CLOSED = (errno.EPIPE, errno.EINVAL)
"""What a write into a closed pipe gives: the second on Windows."""


def say(text: str, stream: TextIO | None = None, *, end: str = "\n") -> None:
    """Print at once; never raises for what becomes of the text.

    A character that the console cannot show (Windows, redirected) becomes a ``?``.

    Args:
        text: the line or lines.
        stream: where; None = standard output.
        end: after it.
    """
    stream = sys.stdout if stream is None else stream
    try:
        print(shown_on(stream, clean_text(text)), end=end, file=stream, flush=True)
    except OSError as error:
        discard(stream)
        if error.errno not in _CLOSED and stream is not sys.stderr:
            say(f"panelbridge: {not_written(error)}", sys.stderr)


def shown_on(stream: TextIO, text: str) -> str:
    """The text with a ``?`` for each character that the stream cannot show."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    if (getattr(stream, "errors", None) or "strict") != "strict":  # stderr escapes by itself
        return text
    return text.encode(encoding, "replace").decode(encoding)


def not_written(error: OSError) -> str:
    """That output is lost from here on, and why."""
    return f"the output cannot be written and is lost from here on: {error.strerror or error}"


def discard(stream: TextIO) -> None:
    """Discard what is buffered and all that follows: the flush at the end would fail."""
    with suppress(OSError, ValueError):  # of a stream without a file
        number = stream.fileno()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, number)
        os.close(nowhere)
