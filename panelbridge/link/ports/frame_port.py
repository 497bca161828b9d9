"""A port with its frames: messages in and out, and the last frames for fault-finding."""

from __future__ import annotations

from collections import deque
from enum import Enum
from math import inf

from panelbridge.link.ports.byte_port import BytePort
from panelbridge.link.wire.frames import FrameParser, encode_frame

KEPT_FRAMES = 200

Frame = tuple[float, str, bytes]
"""Time, s; "<" from the board, ">" to the board, "!" damaged bytes; message or bytes."""


class Heard(Enum):
    """What has come from a board: a cut wire and a wrong speed differ in it."""

    NOTHING = 0
    """No byte."""
    NOISE = 1
    """Bytes, but no good frame."""
    FRAMES = 2
    """Good frames."""


class FramePort:
    """Messages over the port that is open now; the counts continue from port to port.

    Attributes:
        frames_sent: to the board since the start.
    """

    def __init__(self) -> None:
        self._port: BytePort | None = None
        self._parser = FrameParser()
        self._recent: deque[Frame] = deque(maxlen=KEPT_FRAMES)
        self.counts = self._parser.counts
        self._bad_before = 0
        self._byte_s = self._frame_s = -inf
        self.frames_sent = 0

    @property
    def is_open(self) -> bool:
        """Whether a port is attached."""
        return self._port is not None

    def attach(self, port: BytePort) -> None:
        """Use ``port`` from now on."""
        self._port = port
        self._parser.reset()
        self._byte_s = self._frame_s = -inf

    def detach(self) -> None:
        """Close the port, if one is attached; never raises."""
        if self._port is not None:
            self._port.close()
            self._port = None

    def fileno(self) -> int | None:
        """Descriptor to wait on; None when there is none."""
        return None if self._port is None else self._port.fileno()

    def read(self, now_s: float) -> list[bytes]:
        """The messages that have come. Raises: LinkLost."""
        if self._port is None:
            return []
        data = self._port.read()
        if not data:
            return []
        self._byte_s = now_s
        messages = self._parser.feed(data)
        if messages:
            self._frame_s = now_s
        bad = self.counts.bad
        if bad != self._bad_before:
            self._bad_before = bad
            self._recent.append((now_s, "!", data))
        for message in messages:
            self._recent.append((now_s, "<", message))
        return messages

    def heard_since(self, time_s: float = -inf) -> Heard:
        """What has come after ``time_s``, or since the port was opened."""
        if self._frame_s > time_s:
            return Heard.FRAMES
        return Heard.NOISE if self._byte_s > time_s else Heard.NOTHING

    def write(self, now_s: float, message: bytes) -> None:
        """Send ``message``; does nothing without a port. Raises: LinkLost."""
        if self._port is None:
            return
        self._recent.append((now_s, ">", message))
        self.frames_sent += 1
        self._port.write(encode_frame(message))

    def recent_frames(self) -> tuple[Frame, ...]:
        """The last ``KEPT_FRAMES`` frames both ways, oldest first."""
        return tuple(self._recent)
