"""Writes a board's last frames to a file when its link fails, to send when asking for help."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from panelbridge.link.wire import MessageType
from panelbridge.printing import FileKind, LineWriter, cannot_write, check_can_be_written
from panelbridge.signals import Event

_NAMES = {int(kind): kind.name for kind in MessageType}
FRAMES = FileKind("a file of frames", "panelbridge frames")
MOST_BYTES = 1_000_000
"""Beyond this FILE becomes FILE.1, in place of the one before, and a new FILE begins."""
_MOST_WAITING = 50


class FrameLog:
    """A text file of frames: what stands in it stays, and a thread of its own writes.

    Args:
        path: the file; made when there is none.
        heading: lines of this run.
        most_bytes: size beyond which a new file begins.

    Raises:
        UsageError: the file cannot be written, or another kind of file stands there.
    """

    def __init__(
        self, path: Path, heading: Iterable[str] = (), *, most_bytes: int = MOST_BYTES
    ) -> None:
        check_can_be_written(path, FRAMES)
        self.failures = 0
        """Of a link, that were given to ``dump``."""
        self._path = Path(os.path.realpath(path))  # a link is written through
        self._most = most_bytes
        try:
            self._append("".join(f"{line}\n" for line in heading))
        except OSError as error:
            raise cannot_write(path, error) from error
        self._writer = LineWriter(self._append, most_lines=_MOST_WAITING, name="frame log")

    def dump(self, event: Event, frames: Iterable[tuple[float, str, bytes]]) -> None:
        """Append an event and the frames before it; never blocks.

        A full disk must not stop a running panel: then they are lost.

        Args:
            event: why the frames are written.
            frames: (time in s, direction, message) each, oldest first, as a session keeps them.
        """
        self.failures += 1
        lines = [f"\n{event.time_s:.3f} {event.name}: {event.text}"]
        lines += [f"{time_s:10.3f} {way} {frame_text(way, data)}" for time_s, way, data in frames]
        self._writer.put("\n".join(lines))

    def flushed(self, wait_s: float = 10.0) -> bool:
        """Wait for at most ``wait_s``; whether all has been written or lost."""
        return self._writer.flushed(wait_s)

    def close(self) -> int:
        """Write what waits; returns how many failures were lost."""
        return self._writer.close()

    def _append(self, text: str) -> None:
        path = self._path
        is_file = path.is_file()
        if is_file and path.stat().st_size > self._most:
            os.replace(path, path.with_name(f"{path.name}.1"))
            is_file = False
        if not is_file or not path.stat().st_size:
            text = f"{FRAMES.mark}\n{text}"
        with path.open("a", encoding="utf-8") as file:
            file.write(text)


def frame_text(way: str, data: bytes) -> str:
    """A message's type and its bytes in hex; damaged bytes have no type."""
    kind = "damaged" if way == "!" else _NAMES.get(data[0], "unknown") if data else "empty"
    return f"{kind:<13} {data.hex(' ')}"
