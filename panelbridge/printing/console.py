"""Lines on the console; one that is closed or full ends the printing and not the work.

``panelbridge check ... | head -1`` closes the pipe after its first line: the exit code still
counts. On a full disk what could not be written is said once, on stderr.
"""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from functools import partial
from typing import TextIO

from panelbridge.errors import UsageError
from panelbridge.printing.clean_text import clean_text
from panelbridge.printing.line_writer import LineWriter
from panelbridge.printing.signs import chosen_encoding, shown_in

_CLOSED = (errno.EPIPE, errno.EINVAL)
"""What a write into a closed pipe gives: the second on Windows."""


def say(text: str, stream: TextIO | None = None, *, end: str = "\n") -> bool:
    """Print at once; never raises for what becomes of the text.

    A character that the console cannot show (Windows, redirected) becomes a ``?``.

    Args:
        text: the line or lines.
        stream: where; None = standard output.
        end: after it.

    Returns:
        False when it could not be written, and not because its reader has gone.
    """
    stream = sys.stdout if stream is None else stream
    try:
        print(_shown_on(stream, clean_text(text)), end=end, file=stream, flush=True)
    except OSError as error:
        _discard(stream)
        if stream is not sys.stderr:
            return _say_lost(error)
    return True


def console_writer() -> LineWriter:
    """Standard output for the lines of a running panel."""
    return LineWriter(partial(_write_through, sys.stdout), _say_lost)


def say_at_most(text: str, wait_s: float = 1.0) -> None:
    """Say it on stderr; for at most ``wait_s``, because that may be stopped too."""
    writer = LineWriter(partial(_write_through, sys.stderr))
    writer.put(text)
    writer.close(wait_s)


def end_output() -> None:
    """Write out what is buffered, or discard it: the interpreter's own flush would complain."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if not stream.isatty():  # a terminal may be stopped, and each line was flushed
                stream.flush()
        except OSError as error:
            _discard(stream)
            if stream is sys.stdout:
                _say_lost(error)
        except (AttributeError, ValueError):  # there is none, or it was closed
            continue


def _write_through(stream: TextIO, text: str) -> None:
    """Write without the stream's buffer, whose lock the interpreter takes at its end."""
    raw = getattr(getattr(stream, "buffer", None), "raw", None)
    if raw is None:  # no file: a stream of a test
        stream.write(_shown_on(stream, text))
        return
    shown = shown_in(text, _signs_of(stream)).replace("\n", os.linesep)
    rest = memoryview(shown.encode(stream.encoding, "replace"))
    while rest:
        rest = rest[raw.write(rest) or 0 :]


def _signs_of(stream: TextIO) -> str:
    """The encoding whose signs it shows; a variable that names none is said at the start."""
    encoding = getattr(stream, "encoding", None)
    try:
        return chosen_encoding(encoding)
    except UsageError:
        return encoding or "utf-8"


def _shown_on(stream: TextIO, text: str) -> str:
    """The text with other signs, or a ``?``, for each character that the stream cannot show."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    escapes = (getattr(stream, "errors", None) or "strict") != "strict"  # as stderr does
    text = shown_in(text, _signs_of(stream), escapes=escapes)
    if escapes:
        return text
    return text.encode(encoding, "replace").decode(encoding)


def _say_lost(error: OSError) -> bool:
    """Say that output is lost from here on, and why; True for a closed pipe, of which nothing."""
    if error.errno in _CLOSED:
        return True
    reason = error.strerror or error
    say(f"panelbridge: the output is lost, it cannot be written: {reason}", sys.stderr)
    return False


def _discard(stream: TextIO) -> None:
    """Discard what is buffered and all that follows: the flush at the end would fail."""
    with suppress(OSError, ValueError):  # of a stream without a file
        number = stream.fileno()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, number)
        os.close(nowhere)


def ask(question: str) -> str | None:
    """The line that the user types, without spaces around it; None when there is no terminal."""
    if sys.stdin is None or not sys.stdin.isatty():
        return None
    say(question, end=" ")
    line = sys.stdin.readline()
    return line.strip() if line else None
