"""Prints for people, and goes on when nobody reads any more.

``panelbridge bench ... | head`` closes the pipe after its first lines. The files that were asked
for and the exit code still count, so a closed pipe ends the talking and not the work.
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
        OSError: it cannot be written for another reason than that nobody reads.
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
        _fall_silent(stream)


def _fall_silent(stream: TextIO) -> None:
    """Lead what is still buffered, and all that follows, nowhere: the last flush fails else."""
    with suppress(OSError):  # of a stream without a file
        number = stream.fileno()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, number)
        os.close(nowhere)
