"""What a scenario expects: conditions, now and for a while, and events.

Each expectation keeps the place where it stands in its file. Times are seconds; inf = to the end.
"""

from __future__ import annotations

from msgspec import Struct

from panelbridge.logic.kit.conditions import Condition
from panelbridge.signals import Event


class Spot(Struct, frozen=True):
    """A place in a scenario file.

    Attributes:
        file: path as the user gave it.
        line: 1-based.
        column: 1-based.
    """

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class ExpectNow(Struct, frozen=True):
    """The condition holds right after this step's actions."""

    condition: Condition
    spot: Spot


class ExpectWithin(Struct, frozen=True):
    """The condition comes to hold within ``limit_s`` from this step on."""

    condition: Condition
    limit_s: float
    spot: Spot


class ExpectThroughout(Struct, frozen=True):
    """The condition holds at every instant of the next ``for_s`` seconds; inf = to the end."""

    condition: Condition
    for_s: float
    spot: Spot


class ExpectNever(Struct, frozen=True):
    """The condition never holds for ``for_s``; inf = to the end."""

    condition: Condition
    for_s: float
    spot: Spot


class ExpectSilence(Struct, frozen=True):
    """The event of this name never comes for ``for_s``; inf = to the end."""

    event: str
    for_s: float
    spot: Spot


class EventPattern(Struct, frozen=True):
    """An event to wait for; without a subject (a leg, switch or board) that of any."""

    name: str
    subject: str = ""

    def fits(self, event: Event) -> bool:
        """Whether it is this event."""
        return self.name == event.name and self.subject in ("", event.subject)


class ExpectOrder(Struct, frozen=True):
    """The events come in this order within ``limit_s``, others may come between; inf = the end."""

    events: tuple[EventPattern, ...]
    limit_s: float
    spot: Spot


class ExpectCount(Struct, frozen=True):
    """The event comes exactly ``count`` times in ``for_s``; inf = to the end.

    Attributes:
        grace_s: one that comes so much before or after the end counts or not, as it fits.
    """

    event: EventPattern
    count: int
    for_s: float
    spot: Spot
    grace_s: float = 0.0


ConditionExpectation = ExpectNow | ExpectWithin | ExpectThroughout | ExpectNever
Expectation = ConditionExpectation | ExpectSilence | ExpectOrder | ExpectCount
