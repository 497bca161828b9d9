"""The library's driver of POSIX terminals, with input that may come late and in pieces."""

from __future__ import annotations

import os
import selectors
import termios
from codecs import getincrementaldecoder
from contextlib import closing, suppress

from textual._parser import ParseError
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver

from panelbridge.clock import LiveClock
from panelbridge.dashboard.terminal.whole_sequences import WholeSequences

_PERIOD_S = 0.1
_AT_ONCE = 4096


class PatientDriver(LinuxDriver):
    """Takes no answer of the terminal for keys."""

    def start_application_mode(self) -> None:
        """Begin; the echo ends first, so that nothing that comes meanwhile stands on the screen."""
        before = None
        with suppress(termios.error):
            before = termios.tcgetattr(self.fileno)
            quiet = termios.tcgetattr(self.fileno)
            quiet[3] &= ~(termios.ECHO | termios.ICANON)
            termios.tcsetattr(self.fileno, termios.TCSANOW, quiet)
        super().start_application_mode()  # type: ignore[no-untyped-call]
        if before is not None:
            self.attrs_before = before

    def run_input_thread(self) -> None:
        """Read until the end of the screen."""
        clock, whole, parser = LiveClock(), WholeSequences(), XTermParser(self._debug)
        decode = getincrementaldecoder("utf-8")("replace").decode
        with closing(selectors.SelectSelector()) as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                text = ""
                if selector.select(_PERIOD_S):
                    came = os.read(self.fileno, _AT_ONCE)
                    if not came:  # the terminal has gone: nothing more can come
                        break
                    text = decode(came)
                if passed := whole.take(text, clock.now()):
                    for event in parser.feed(passed):
                        self.process_message(event)
                for event in parser.tick():
                    self.process_message(event)
        with suppress(EOFError, ParseError):
            for _ in parser.feed(""):
                pass
