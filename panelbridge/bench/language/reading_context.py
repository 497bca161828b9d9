"""What is needed while a scenario is read: its text, the names it may use, the errors so far."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.bench.language.names import Names
from panelbridge.bench.language.plan import Spot
from panelbridge.config.reading_context import ReadingContext
from panelbridge.config.yaml_positions import KeyPath


@dataclass(slots=True)
class Context(ReadingContext):
    """A scenario file that is being read, beside the aircraft that it is for.

    Attributes:
        names: what it may name.
    """

    names: Names

    def spot(self, path: KeyPath) -> Spot:
        """Where the key of ``path`` stands, or the value itself in a list."""
        found = self.source.position(path)
        return Spot(self.source.file, found.key_line, found.key_column)
