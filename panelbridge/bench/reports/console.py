"""Prints to the console; survives a closed pipe.

``panelbridge bench ... | head`` closes the pipe after its first lines. Reports and the exit code
still count, so a closed pipe ends the printing and not the work.
"""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from typing import TextIO

_CLOSED = (errno.EPIPE, errno.EINVAL)
"""What a write into a closed pipe gives: the second on Windows."""


def say(text: str, stream: TextIO | None = None) -> None:
    """Print a line at once.

    A character that the console cannot show (Windows, redirected) becomes a ``?``.

    Args:
        text: the line or lines.
        stream: where; None = standard output.

    Raises:
        OSError: it cannot be written for another reason than a closed pipe.
    """
    stream = sys.stdout if stream is None else stream
    encoding = getattr(stream, "encoding", None) or "utf-8"
    if (getattr(stream, "errors", None) or "strict") == "strict":  # errors' own stream escapes
        text = text.encode(encoding, "replace").decode(encoding)
    try:
        print(text, file=stream, flush=True)
    except OSError as error:
        if error.errno not in _CLOSED:
            raise
        _discard(stream)


def _discard(stream: TextIO) -> None:
    """Discard what is buffered and all that follows: the last flush would fail."""
    with suppress(OSError):  # of a stream without a file
        number = stream.fileno()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, number)
        os.close(nowhere)
