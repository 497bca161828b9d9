"""A serial line to a simulator or a converter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from panelbridge.config.links.transports import SerialLink
from panelbridge.errors import LinkError, LinkLost
from panelbridge.feeds.transports.transport import NOBODY, Arrival, TransportHealth
from panelbridge.link.ports import BytePort, Opener, Opening
from panelbridge.link.session.reconnect import BackOff

MOST_READS = 16
"""Most readings of the port in one turn."""


class SerialLine:
    """Opens the port in a thread, and again when it was lost."""

    is_stream = True

    def __init__(self, keys: SerialLink, opener: Opener) -> None:
        self.name = f"serial line {keys.port}"
        self._keys = keys
        self._opener = opener
        self._drops = Counter[str]()
        self._back_off = BackOff()
        self._due_s = 0.0
        self._opening: Opening | None = None
        self._port: BytePort | None = None
        self._restarts = True
        self._connections = 0
        self._trouble = "it is tried"

    def open(self, now_s: float) -> None:
        """Begin to open the port."""
        self._due_s = now_s
        self._try(now_s)

    def read(self, now_s: float) -> Sequence[Arrival]:
        """What has come; opens the port meanwhile."""
        if self._port is None:
            self._try(now_s)
        if self._port is None:
            return ()
        pieces: list[bytes] = []
        try:
            while len(pieces) < MOST_READS and (data := self._port.read()):
                pieces.append(data)
        except LinkLost as lost:
            self._lose(now_s, lost)
        if not pieces:
            return ()
        arrival = Arrival(b"".join(pieces), restarts=self._restarts)
        self._restarts = False
        return (arrival,)

    def send(self, now_s: float, data: bytes, topic: str = "") -> bool:
        """Send at once or not at all."""
        if self._port is not None:
            try:
                self._port.write(data)
                return True
            except LinkLost as lost:
                self._lose(now_s, lost)
        self._drops[NOBODY] += 1
        return False

    def filenos(self) -> Sequence[int]:
        """The port's descriptor, where it has one; elsewhere a thread wakes the engine."""
        fileno = self._port.fileno() if self._port is not None else None
        return () if fileno is None else (fileno,)

    def health(self) -> TransportHealth:
        """Open, or why not."""
        is_open = self._port is not None
        text = "open" if is_open else f"not open: {self._trouble}"
        return TransportHealth(is_open, text, self._drops, self._connections)

    def close(self) -> None:
        """Close the port."""
        if self._opening is not None:
            self._opening.abandon()
        if self._port is not None:
            self._port.close()
        self._port = self._opening = None
        self._due_s = float("inf")

    def _try(self, now_s: float) -> None:
        if self._opening is None:
            if now_s < self._due_s:
                return
            self._opening = self._opener(self._keys.port, self._keys.baud)
        result = self._opening.result()
        if result is None:
            return
        self._opening = None
        if isinstance(result, LinkError):
            self._trouble = result.what
            self._due_s = now_s + self._back_off.take_s()
            return
        self._port = result
        self._restarts = True
        self._connections += 1
        self._back_off.reset()

    def _lose(self, now_s: float, lost: LinkLost) -> None:
        if self._port is not None:
            self._port.close()
        self._port = None
        self._trouble = lost.what
        self._due_s = now_s + self._back_off.take_s()
