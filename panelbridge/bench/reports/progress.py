"""A bar on stderr in long runs."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

LONG_RUN = 50
"""Fewer scenarios get no bar."""


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
