"""What the show panel can ask of a run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from msgspec import Struct


class Breakable(Struct, frozen=True):
    """One way in which a part can be broken.

    Attributes:
        words: for people; no two have the same.
        room: where the part is: the heading of the list.
    """

    words: str
    room: str


class ShowControls(Protocol):
    """Orders to a run whose boards are all simulated; called from the screen's thread."""

    @property
    def breakables(self) -> Sequence[Breakable]:
        """What can be broken, those of a room together."""

    @property
    def phases(self) -> Sequence[str]:
        """The phases of the flight, in order; none when it has none."""

    @property
    def fixed_time(self) -> str:
        """Why its time cannot be held, in words; empty when it can."""

    def pause_or_go(self) -> None:
        """Stop the time, or let it go on."""

    def step(self, span_s: float) -> None:
        """Let so much time pass, s, and pause."""

    def faster(self) -> None:
        """The next higher rate."""

    def slower(self) -> None:
        """The next lower rate."""

    def jump(self, index: int) -> None:
        """Fly to the start of a phase."""

    def break_or_mend(self, words: str) -> None:
        """Break a part, or mend it when it is broken."""

    def mend_all(self) -> None:
        """Mend everything."""
