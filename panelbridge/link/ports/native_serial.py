"""pyserial's native port on POSIX, with care: it opens no terminal of others, and changes nothing
for good.
"""

from __future__ import annotations

import contextlib
from typing import Any

import serial

from panelbridge.link.ports.terminal_check import check_open, check_path


class NativeSerial(serial.Serial):
    """A native port that is looked at before it is touched; closing it restores its settings."""

    _settings: list[Any] | None = None

    def open(self) -> None:
        """Open the port.

        Raises: OSError: as pyserial; LinkError: it cannot be the port of a board.
        """
        check_path(str(self.port))
        super().open()

    def _reconfigure_port(self, force_update: bool = False) -> None:
        import fcntl
        import termios

        if self._settings is None:
            check_open(str(self.port), self._descriptor)
            # Locked first: what another program has set is not ours to restore.
            fcntl.flock(self._descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            self._settings = termios.tcgetattr(self._descriptor)
        try:
            super()._reconfigure_port(force_update)  # type: ignore[misc]  # not in its stubs
        except BaseException:
            self._restore()
            raise

    def close(self) -> None:
        """Restore the settings that the port had, and close it."""
        if self.is_open:
            self._restore()
        super().close()

    @property
    def _descriptor(self) -> int:
        """Like ``fileno``, and while it is being opened too."""
        if self.fd is None:
            raise serial.PortNotOpenError()
        return self.fd

    def _restore(self) -> None:
        import termios

        settings, self._settings = self._settings, None
        if settings is not None:
            with contextlib.suppress(termios.error, OSError):  # the device is gone
                termios.tcsetattr(self._descriptor, termios.TCSANOW, settings)
