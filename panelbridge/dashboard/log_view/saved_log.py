"""A log as a file: text, a line for each event."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from panelbridge.engine.event_groups import group_of
from panelbridge.engine.snapshot import Snapshot
from panelbridge.printing import FileKind, write_text
from panelbridge.signals import Event

SAVED_LOG = FileKind("a saved log", "# panelbridge log")


def proposed_name(snapshot: Snapshot) -> str:
    """A name with the time of the run: ``panelbridge_log_0h02m07s.txt``."""
    minutes, seconds = divmod(int(snapshot.time_s), 60)
    hours, minutes = divmod(minutes, 60)
    return f"panelbridge_log_{hours}h{minutes:02d}m{seconds:02d}s.txt"


def log_text(events: Sequence[Event], snapshot: Snapshot, what: str) -> str:
    """The file's text.

    Args:
        events: to save, oldest first.
        snapshot: of the run.
        what: of the log it is: ``all``, or how it was filtered.
    """
    names = ", ".join(name for name in (snapshot.panel_name, snapshot.aircraft_name) if name)
    lines = [
        f"{SAVED_LOG.mark}: {names}",
        f"# {len(events)} of {snapshot.event_count} events ({what}); times in seconds of the run",
    ]
    lines += [
        f"{event.time_s:10.3f}  {event.level:<8} {group_of(event):<22} {event.text}"
        f"{f'  [{event.subject}]' if event.subject else ''}"
        for event in events
    ]
    return "\n".join(lines) + "\n"


def save_log(path: Path, text: str) -> None:
    """Write the file. Raises: UsageError, when it cannot be written or another kind is there."""
    write_text(path, text, SAVED_LOG)
