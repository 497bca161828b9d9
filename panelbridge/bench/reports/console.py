"""Prints to the console, with a bar in long runs; survives a closed pipe.

``panelbridge bench ... | head`` closes the pipe after its first lines. Reports and the exit code
still count, so a closed pipe ends the printing and not the work.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

_CLOSED = (errno.EPIPE, errno.EINVAL)
"""What a write into a closed pipe gives: the second on Windows."""
LONG_RUN = 50
"""Fewer scenarios get no bar."""


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


@contextmanager
def progress_bar(total: int, words: str) -> Iterator[Callable[[], None]]:
    """A bar on stderr, when that is a terminal and there is much to do.

    Args:
        total: how many scenarios there are.
        words: beside the bar.

    Yields:
        A function to call after each scenario.
    """
    if total < LONG_RUN or not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    progress = Progress(
        TextColumn(words),
        BarColumn(),
        MofNCompleteColumn(),
        console=Console(stderr=True),
        transient=True,
        # Lines go above the bar, unless they go into a file.
        redirect_stdout=sys.stdout.isatty(),
        redirect_stderr=False,
    )
    with progress:
        task = progress.add_task(words, total=total)
        yield lambda: progress.advance(task)
