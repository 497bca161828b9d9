"""pyserial's handler of ``simboard://NAME``: a simulated board as a port, on every system.

Reading, writing, time-outs and a pulled cable behave as on a real port; the speed of the line is
not modelled. Time is the registered board's clock: the board lives on while its port is looked at.
"""

from __future__ import annotations

import errno
from typing import TYPE_CHECKING

from serial.serialutil import PortNotOpenError, SerialBase, SerialException

from panelbridge.simboard.registry import RegisteredBoard, find, names

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer

_LONGEST_SLEEP_S = 0.005  # another thread may move a switch, pull the plug or cancel


class Serial(SerialBase):
    """A port to a board of the registry. Always exclusive: it can be open once at a time.

    After the cable was pulled the port stays dead, as a real one does: close it, and open it again
    when the board is back.
    """

    def open(self) -> None:
        """Open the port.

        Raises:
            SerialException: it is open, there is no such board, its cable is pulled (``ENOENT``),
                or somebody else has it open (``EBUSY``).
        """
        if self.is_open:
            raise SerialException("Port is already open.")
        url = self.port or ""
        name = url.partition("://")[2].rstrip("/")
        entry = find(name)
        if entry is None:
            known = ", ".join(names()) or "none"
            raise SerialException(
                errno.ENOENT,
                f"could not open port {url}: no simulated board {name!r} (there are: {known})",
            )
        if not entry.plugged_in():
            raise SerialException(errno.ENOENT, f"could not open port {url}: it is unplugged")
        if not entry.claim():
            raise SerialException(errno.EBUSY, f"could not open port {url}: it is in use")
        self._entry: RegisteredBoard | None = entry
        self._plug_count = entry.cable.plug_count
        self._cancelled = False
        self._reconfigure_port()
        self.is_open = True
        if entry.reset_on_open:
            entry.cable.reset(entry.clock.now())

    def close(self) -> None:
        """Give the port back; what is still under way to the host is lost."""
        if self.is_open:
            self.is_open = False
            entry = self._entry
            self._entry = None
            if entry is not None:
                entry.cable.drop_arrived()
                entry.free()

    @property
    def in_waiting(self) -> int:
        """Number of bytes that have arrived. Raises: SerialException: the cable was pulled."""
        entry = self._living()
        return entry.cable.waiting(entry.clock.now())

    def read(self, size: int = 1, /) -> bytes:
        """Read ``size`` bytes; fewer when the time-out (seconds; None = never) comes first.

        Raises:
            SerialException: the cable was pulled.
        """
        entry = self._living()
        clock = entry.clock
        data = entry.cable.take(clock.now(), size)
        end_s = float("inf") if self.timeout is None else clock.now() + self.timeout
        while len(data) < size and clock.now() < end_s and not self._cancelled:
            due_s = min(end_s, entry.cable.next_due_s, clock.now() + _LONGEST_SLEEP_S)
            clock.sleep_until(due_s)
            if not self.is_open:
                break
            entry = self._living()
            data += entry.cable.take(clock.now(), size - len(data))
        self._cancelled = False
        return data

    def write(self, b: ReadableBuffer, /) -> int:
        """Send bytes; gives their number. Raises: SerialException: the cable was pulled."""
        entry = self._living()
        data = bytes(b)
        entry.cable.send(entry.clock.now(), data)
        return len(data)

    def flush(self) -> None:
        """Nothing waits: bytes are under way as soon as they are written."""

    def cancel_read(self) -> None:
        """End a read that another thread waits in."""
        self._cancelled = True

    def cancel_write(self) -> None:
        """Nothing: a write never waits."""

    def reset_input_buffer(self) -> None:
        """Throw away what has arrived."""
        entry = self._living()
        entry.cable.take(entry.clock.now())

    def reset_output_buffer(self) -> None:
        """Nothing waits to be sent."""
        self._living()

    @property
    def out_waiting(self) -> int:
        """Nothing ever waits to be sent."""
        self._living()
        return 0

    @property
    def cts(self) -> bool:
        """The board is always ready to receive."""
        return True

    @property
    def dsr(self) -> bool:
        """The board is there."""
        return True

    @property
    def ri(self) -> bool:
        """Boards do not ring."""
        return False

    @property
    def cd(self) -> bool:
        """The board is there."""
        return True

    def _living(self) -> RegisteredBoard:
        entry = self._entry if self.is_open else None
        if entry is None:
            raise PortNotOpenError
        entry.cable.advance(entry.clock.now())
        if entry.cable.plug_count != self._plug_count:
            raise SerialException(errno.EIO, f"the board at {self.port} was unplugged")
        return entry

    def _reconfigure_port(self) -> None:
        """Speed and format mean nothing here."""

    def _update_dtr_state(self) -> None:
        """The board does not look at it."""

    def _update_rts_state(self) -> None:
        """The board does not look at it."""

    def _update_break_state(self) -> None:
        """The board does not look at it."""
