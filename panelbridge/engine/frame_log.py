"""Writes a board's last frames to a file when its link fails, to send when asking for help."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from panelbridge.errors import UsageError
from panelbridge.link.wire import MessageType
from panelbridge.signals import Event

_NAMES = {int(kind): kind.name for kind in MessageType}


class FrameLog:
    """A text file of frames.

    Args:
        path: the file; overwritten.
        heading: its first lines.

    Raises:
        UsageError: the file cannot be written.
    """

    def __init__(self, path: Path, heading: Iterable[str] = ()) -> None:
        self._path = path
        try:
            path.write_text("".join(f"{line}\n" for line in heading), encoding="utf-8")
        except OSError as error:
            raise UsageError(
                f"the file for frames cannot be written: {error.strerror or error}",
                where=str(path),
                hint="name a file in a folder that you may write to",
            ) from error

    def dump(self, event: Event, frames: Iterable[tuple[float, str, bytes]]) -> None:
        """Append an event and the frames before it.

        A full disk must not stop a running panel: then nothing is appended.

        Args:
            event: why the frames are written.
            frames: (time in s, direction, message) each, oldest first, as a session keeps them.
        """
        lines = [f"\n{event.time_s:.3f} {event.name}: {event.text}"]
        lines += [f"{time_s:10.3f} {way} {frame_text(way, data)}" for time_s, way, data in frames]
        try:
            with self._path.open("a", encoding="utf-8") as file:
                file.write("\n".join(lines) + "\n")
        except OSError:
            return


def frame_text(way: str, data: bytes) -> str:
    """A message's type and its bytes in hex; damaged bytes have no type."""
    kind = "damaged" if way == "!" else _NAMES.get(data[0], "unknown") if data else "empty"
    return f"{kind:<13} {data.hex(' ')}"
