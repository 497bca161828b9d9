"""What ``run`` and ``demo`` are asked to write at their end."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class TimelineOptions:
    """What is asked for.

    Attributes:
        files: to write at the end; pictures (.svg) and waveforms (.vcd).
        signals: names of the signals that are shown; none = the usual ones.
    """

    files: tuple[Path, ...] = ()
    signals: tuple[str, ...] = ()

    @property
    def are_given(self) -> bool:
        """Whether any of them was given."""
        return bool(self.files or self.signals)


NO_TIMELINE = TimelineOptions()
