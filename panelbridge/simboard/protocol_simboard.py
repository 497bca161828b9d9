"""pyserial's handler for ``simboard://NAME``: a simulated board as a port, on every system.

Reading, writing, time-outs and unplugging behave as on a real port; the speed of the line is not
modelled. Time is the registered board's clock: the board advances when its port is used.
"""

from __future__ import annotations

import errno
from math import inf
from typing import TYPE_CHECKING

from serial.serialutil import PortNotOpenError, SerialBase, SerialException

from panelbridge.simboard.registry import RegisteredBoard, find, names

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer

_LONGEST_SLEEP_S = 0.005  # another thread may move a switch, unplug or cancel


class Serial(SerialBase):
    """A port to a board of the registry. Always exclusive: it can be open once at a time.

    Once unplugged the port stays dead, as a real one does: close it, and open it again when the
    board is back.
    """

    cts = dsr = cd = True  # the board is present and ready
    ri = False
    _entry: RegisteredBoard | None = None
    out_waiting = 0  # bytes are under way as soon as they are written

    def open(self) -> None:
        """Open the port.

        Raises: SerialException: it is open already; ``ENOENT``: no such board, or unplugged;
            ``EBUSY``: it is open elsewhere.
        """
        if self.is_open:
            raise SerialException("Port is already open.")
        url = self.port or ""
        name = url.partition("://")[2].rstrip("/")
        entry = find(name)
        if entry is None:
            known = ", ".join(names()) or "none"
            what = f"no simulated board is named '{name}' (there are: {known})"
            raise SerialException(errno.ENOENT, what)
        entry.cable.advance(entry.clock.now())
        if not entry.cable.plugged:
            raise SerialException(errno.ENOENT, "the simulated board is unplugged")
        if not entry.claim():
            raise SerialException(errno.EBUSY, f"could not open port {url}: it is in use")
        self._entry = entry
        self._plug_count = entry.cable.plug_count
        self._cancelled = False
        self._reconfigure_port()
        self.is_open = True
        if entry.reset_on_open:
            entry.cable.reset(entry.clock.now())

    def close(self) -> None:
        """Release the port; bytes still under way to the host are lost."""
        self.is_open, entry, self._entry = False, self._entry, None
        if entry is not None:
            entry.cable.drop_arrived()
            entry.in_use = False

    @property
    def in_waiting(self) -> int:
        """Number of bytes that have arrived. Raises: SerialException: it is unplugged."""
        entry = self._open_entry()
        return entry.cable.waiting

    def read(self, size: int = 1, /) -> bytes:
        """Read ``size`` bytes; fewer when the time-out (seconds; None = never) comes first.

        Raises: SerialException: it is unplugged.
        """
        entry = self._open_entry()
        clock = entry.clock
        data = entry.cable.take(clock.now(), size)
        end_s = inf if self.timeout is None else clock.now() + self.timeout
        while len(data) < size and clock.now() < end_s and not self._cancelled:
            due_s = min(end_s, entry.cable.next_due_s, clock.now() + _LONGEST_SLEEP_S)
            clock.sleep_until(due_s)
            if not self.is_open:
                break
            entry = self._open_entry()
            data += entry.cable.take(clock.now(), size - len(data))
        self._cancelled = False
        return data

    def write(self, b: ReadableBuffer, /) -> int:
        """Send bytes; returns their number. Raises: SerialException: it is unplugged."""
        entry = self._open_entry()
        data = bytes(b)
        entry.cable.send(entry.clock.now(), data)
        return len(data)

    def cancel_read(self) -> None:
        """Unblock a read in another thread."""
        self._cancelled = True

    def reset_input_buffer(self) -> None:
        """Discard what has arrived."""
        entry = self._open_entry()
        entry.cable.take(entry.clock.now())

    def _open_entry(self) -> RegisteredBoard:
        entry = self._entry
        if entry is None:
            raise PortNotOpenError
        entry.cable.advance(entry.clock.now())
        if entry.cable.plug_count != self._plug_count:
            raise SerialException("the simulated board was unplugged")
        return entry

    def _ignored(self) -> None:
        """Does nothing: speed, format and modem lines have no effect; a write never waits."""

    flush = cancel_write = reset_output_buffer = _ignored
    _reconfigure_port = _ignored
    _update_dtr_state = _update_rts_state = _update_break_state = _ignored
