"""A simulated board on a pseudo-terminal: a real port for other programs (Linux, macOS).

Unplugging closes the pty; plugging in again makes a new one. The symbolic link, if any, follows, so
that the host finds the board under one name.
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from panelbridge.clock import Clock
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.serving.owned_link import OwnedLink

_CHUNK = 4096


def pty_exists() -> bool:
    """Whether this system has pseudo-terminals."""
    try:
        import pty  # noqa: F401
        import termios  # noqa: F401
    except ImportError:
        return False
    return True


class PtyServer:
    """Serves a board on a pty. It works only in ``step``.

    Args:
        cable: the board on its cable.
        clock: real time.
        link: symbolic link to the port; takes the place of a link whose owner has ended.
        reset_on_open: a host that opens the port resets the board.

    Raises:
        UsageError: as ``OwnedLink``.
    """

    def __init__(
        self, cable: Cable, clock: Clock, *, link: Path | None = None, reset_on_open: bool = False
    ) -> None:
        self._cable = cable
        self._clock = clock
        self._link = OwnedLink(link, clock) if link is not None else None
        self._reset_on_open = reset_on_open
        self._master: int | None = None
        self.path = ""
        """Path of the port; empty while the board is unplugged."""
        self.host_present = False
        """A host has the port open."""
        try:
            self._plug_in()
        except BaseException:
            self.close()
            raise

    @property
    def filenos(self) -> list[int]:
        """Files to wait for; empty while no host has the port open (it would not block)."""
        return [self._master] if self._master is not None and self.host_present else []

    @property
    def next_due_s(self) -> float:
        """When ``step`` must be called next even if no byte arrives, s."""
        return self._cable.next_due_s

    def step(self) -> None:
        """Move bytes both ways and advance the board to now."""
        now_s = self._clock.now()
        self._cable.advance(now_s)
        if self._cable.plugged != (self._master is not None):
            if self._cable.plugged:
                self._plug_in()
            else:
                self._unplug()
        if self._master is None:
            return
        data = self._read(self._master)
        if data:
            self._cable.send(now_s, data)
        if not self.host_present:
            self._cable.drop_arrived()
            return
        output = self._cable.take(now_s)
        if output:
            # A host that does not read loses bytes, as on a line without flow control; the next
            # read notices a host that has closed the port.
            with contextlib.suppress(OSError):
                os.write(self._master, output)

    def _plug_in(self) -> None:
        import pty
        import tty

        master, slave = pty.openpty()
        # Raw mode before the first byte: an echo would send the board's bytes back to it.
        tty.setraw(slave)
        os.set_blocking(master, False)
        self.path = os.ttyname(slave)
        os.close(slave)  # so that the master sees whether a host has it open
        self._master = master
        self.host_present = False
        if self._link is not None:
            self._link.point_to(self.path)

    def close(self) -> None:
        """Close the port and remove the link."""
        self._unplug()
        if self._link is not None:
            self._link.close()

    def _unplug(self) -> None:
        if self._link is not None:
            self._link.remove()
        if self._master is not None:
            os.close(self._master)
            self._master = None
        self.host_present = False
        self.path = ""

    def _read(self, master: int) -> bytes:
        try:
            data = os.read(master, _CHUNK)
            present = bool(data)
        except BlockingIOError:
            data, present = b"", True
        except OSError:  # EIO: no host has the other end open
            data, present = b"", False
        if present and not self.host_present and self._reset_on_open:
            self._cable.reset(self._clock.now())
        self.host_present = present
        return data
