"""Failures of ports and sockets in words: the system's own texts name numbers and calls.

An error of pyserial has the one that it stands for behind it, or, on Windows, only in its text:
``could not open port 'COM5': OSError(22, 'The semaphore timeout period has expired.', None, 121)``.
"""

from __future__ import annotations

import errno
import os
import re
import socket
from collections.abc import Iterator, Mapping

ABSENT = frozenset({errno.ENOENT, errno.ENODEV, errno.ENXIO})
BUSY = frozenset({errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK})
DENIED = frozenset({errno.EACCES, errno.EPERM})
_NO_WAY = frozenset({errno.EHOSTUNREACH, errno.ENETUNREACH, errno.EHOSTDOWN, errno.ENETDOWN})
_WORDS = {
    **dict.fromkeys(ABSENT, "the device is not there"),
    **dict.fromkeys(BUSY, "another program holds it"),
    **dict.fromkeys(DENIED, "there is no permission to use it"),
    **dict.fromkeys(_NO_WAY, "there is no way to it in this network"),
    errno.EADDRINUSE: "another program listens there",
    errno.EADDRNOTAVAIL: "this computer has no such address",
    errno.EIO: "the device does not answer",
    errno.EBADF: "it was closed",
}
_OF_SOCKETS: Mapping[type[OSError], str] = {
    ConnectionRefusedError: "no program listens there",
    TimeoutError: "there is no answer",
    ConnectionError: "the other side broke the connection",
}
_OF_WINDOWS = re.compile(r"Error\(\d+, (['\"])(?P<text>.*?)\.?\1")
_NUMBER = re.compile(r"\[(?:Errno|WinError) \d+\] ")


def failure_text(error: BaseException, host: str = "") -> str:
    """Why something is not open, not connected, or was lost.

    Args:
        error: what was raised.
        host: the other computer, for names that are not known.
    """
    for one in _behind(error):
        if isinstance(one, socket.gaierror):
            name = f"the name '{host}'" if host else "its name"
            return f"{name} is not known in this network"
        for kind, words in _OF_SOCKETS.items():
            if isinstance(one, kind):
                return words
    number = error_number(error)
    text = " ".join(str(error).split())
    if number in _WORDS:
        return _WORDS[number]
    if found := _OF_WINDOWS.search(text):
        return found["text"]
    if number:
        return _of_windows(error) or os.strerror(number)
    return _NUMBER.sub("", text) or type(error).__name__


def _of_windows(error: BaseException) -> str:
    """What Windows itself says: ``os.strerror`` does not know the numbers of its sockets."""
    for one in _behind(error):
        if getattr(one, "winerror", None) and isinstance(one, OSError) and one.strerror:
            return one.strerror.rstrip(".")
    return ""


def error_number(error: BaseException) -> int | None:
    """``errno`` of an OSError or a termios.error, or of one behind it; None without one."""
    for one in _behind(error):
        if isinstance(one, OSError) and one.errno is not None:
            return one.errno
        if one.args and isinstance(one.args[0], int):
            return one.args[0]
    return None


def _behind(error: BaseException) -> Iterator[BaseException]:
    """The error, and those from which it came."""
    seen: set[int] = set()
    one: BaseException | None = error
    while one is not None and id(one) not in seen:
        seen.add(id(one))
        yield one
        one = one.__cause__ or one.__context__
