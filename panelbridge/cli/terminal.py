"""The terminal of the screen: is there one, has it gone, and an end that does not need it.

A window that is closed and a connection that is cut send SIGHUP, or only hang up. The screen's
library then waits for a terminal that takes nothing any more; so a thread of this module watches
the terminal, and ends the process if the screen does not end by itself.
"""

from __future__ import annotations

import os
import queue
import select
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from types import FrameType
from typing import Any, TextIO

from panelbridge.errors import UsageError

PERIOD_S = 0.25
"""How often the terminal is looked at, s."""
GRACE_S = 0.6
"""The screen has this long to end by itself, s."""
STOP_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
"""What stops a run cleanly: Ctrl-C, a kill, a terminal that went away, Ctrl-Break on Windows."""
_CLOSINGS = (2, 5, 6)
"""Windows' events: the window is closed, its user logs off, the computer shuts down."""
_CLOSING_S = 10.0
"""Longer than Windows waits for a window that is closed, s."""
_LEAVE_SCREEN = b"\x1b[?1049l\x1b[?25h\x1b[?1000l\x1b[?1003l\x1b[?1006l\x1b[?1004l\x1b[?2004l"
"""Back to the shell's own lines, with cursor and without reports of mouse, focus and pasting."""


NO_SCREEN_HINT = "Use --headless: it prints the events, one a line"


def check_terminal(hint: str = NO_SCREEN_HINT) -> None:
    """Check that the screen can be shown. Raises: UsageError, with what to do instead."""
    streams = (("input", sys.__stdin__), ("output", sys.__stdout__), ("errors", sys.__stderr__))
    what = next((f"the {name} is no terminal" for name, one in streams if not _is_a_tty(one)), "")
    kind = os.environ.get("TERM", "")
    if not what and os.name != "nt" and kind in ("", "dumb", "unknown"):
        what = f"this terminal cannot draw (TERM is {kind})" if kind else "TERM is not set"
    if what:
        raise UsageError(f"there is no terminal for the screen: {what}", hint=hint)


def _is_a_tty(stream: TextIO | None) -> bool:
    try:
        return stream is not None and stream.isatty()
    except ValueError:  # closed
        return False


@contextmanager
def stopped_by_signals(stop: Callable[[], None]) -> Iterator[None]:
    """Call ``stop`` on ``STOP_SIGNALS``, in the middle of anything.

    ``nohup`` has SIGHUP ignored: that run goes on when its terminal closes. A shell ignores SIGINT
    for what it starts in the background; who sends it to this run alone means it all the same.
    """

    def handle(number: int, frame: FrameType | None) -> None:
        stop()

    before: dict[int, Any] = {}
    if threading.current_thread() is threading.main_thread():  # no other receives signals
        _stay_while_the_window_closes()
        for name in STOP_SIGNALS:
            number = getattr(signal, name, None)
            if number is None:
                continue
            before[number] = signal.signal(number, handle)
            if name == "SIGHUP" and before[number] is signal.SIG_IGN:
                signal.signal(number, signal.SIG_IGN)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@cache
def _stay_while_the_window_closes() -> object:
    """Windows ends a process when its handler of a closing returns: this one stays until the end.

    It is never removed, for that would wait for its return. Returns it: it must be kept.
    """
    if sys.platform == "win32":
        import ctypes
        from _thread import interrupt_main

        def handle(event: int) -> int:
            if event not in _CLOSINGS or signal.getsignal(signal.SIGBREAK) is signal.SIG_DFL:
                return 0  # not ours
            interrupt_main(signal.SIGBREAK)
            threading.Event().wait(_CLOSING_S)
            return 1

        handler = ctypes.WINFUNCTYPE(ctypes.c_int, ctypes.c_uint)(handle)
        ctypes.WinDLL("kernel32").SetConsoleCtrlHandler(handler, 1)
        return handler
    return None


_LAST_ACTS: list[Callable[[], object]] = []


@contextmanager
def also_at_a_hard_end(act: Callable[[], object]) -> Iterator[None]:
    """Have ``act`` done too when the process must end without its screen; it is done once."""
    _LAST_ACTS.append(act)
    try:
        yield
    finally:
        _LAST_ACTS.remove(act)


class TerminalWatch:
    """Ends a screen when that is asked for, or when its terminal has gone.

    Args:
        stop: asks the panel to end; called in the watch's thread.
        leave: asks the screen to end; called there too.
        panel: the thread of the panel.
    """

    def __init__(
        self, stop: Callable[[], None], leave: Callable[[], None], panel: threading.Thread
    ) -> None:
        self._stop = stop
        self._leave = leave
        self._panel = panel
        # A signal may come while its own handler runs: only this kind of queue may be re-entered.
        self._orders: queue.SimpleQueue[bool] = queue.SimpleQueue()
        self._over = threading.Event()
        self._terminal = _terminal_settings()
        self._thread = threading.Thread(target=self._run, name="panelbridge-terminal", daemon=True)
        self.stopped = False
        """The screen was asked to end, or lost its terminal."""

    def ask(self) -> None:
        """Ask for the end; may be called in a signal handler."""
        self._orders.put(True)

    def start(self) -> None:
        """Begin to watch."""
        self._thread.start()

    def close(self) -> None:
        """The screen has ended by itself."""
        self.stopped |= self.has_hung_up
        self._over.set()
        self._orders.put(False)
        self._thread.join()

    @property
    def has_hung_up(self) -> bool:
        """The terminal has gone."""
        if not hasattr(select, "poll") or sys.__stdin__ is None:
            return False
        poller = select.poll()
        with suppress(OSError, ValueError):
            poller.register(sys.__stdin__.fileno(), 0)
            return any(event & (select.POLLHUP | select.POLLERR) for _, event in poller.poll(0))
        return False

    def _run(self) -> None:
        while not self.has_hung_up:
            with suppress(queue.Empty):
                if not self._orders.get(timeout=PERIOD_S):
                    return
                break
        self.stopped = True
        self._stop()
        self._leave()
        if not self._over.wait(GRACE_S):
            self._end_process()

    def _end_process(self) -> None:
        """The screen hangs on its terminal: end without it, once the panel has ended."""
        self._panel.join(GRACE_S)  # a board that is not released goes to idle by itself
        for act in [*_LAST_ACTS]:
            with suppress(Exception):
                act()
        if self._terminal is not None:
            import termios

            with suppress(termios.error):
                termios.tcsetattr(0, termios.TCSANOW, self._terminal)
        with suppress(OSError, ValueError):
            if select.select([], [2], [], 0)[1]:
                os.write(2, _LEAVE_SCREEN)
        os._exit(0)


def _terminal_settings() -> list[Any] | None:
    """The settings of the terminal before the screen changes them; None without any."""
    try:
        import termios
    except ImportError:  # Windows: the screen's library restores its console
        return None
    with suppress(termios.error):
        return termios.tcgetattr(0)
    return None
