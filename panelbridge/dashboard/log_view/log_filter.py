"""Which events are shown: by level, by subject; and which of them hold the searched words."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from msgspec import Struct

from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle
from panelbridge.engine.event_groups import group_of
from panelbridge.signals import Event, Level

EVERY = "everything"
"""In place of a subject: all of them."""


class LeastLevel(StrEnum):
    """The least level that is shown."""

    INFO = "info and more"
    CAUTION = "cautions and more"
    WARNING = "warnings and faults"


_SHOWN = {
    LeastLevel.INFO: frozenset(Level),
    LeastLevel.CAUTION: frozenset((Level.CAUTION, Level.WARNING, Level.FAULT)),
    LeastLevel.WARNING: frozenset((Level.WARNING, Level.FAULT)),
}


class LogFilter(Struct, frozen=True):
    """What is shown of a log.

    Attributes:
        least: the least level.
        subject: what the events are about; ``EVERY`` = anything.
    """

    least: LeastLevel = LeastLevel.INFO
    subject: str = EVERY

    def shown(self, events: Sequence[Event]) -> list[Event]:
        """The events that it lets through."""
        levels = _SHOWN[self.least]
        return [
            event
            for event in events
            if event.level in levels and self.subject in (EVERY, group_of(event))
        ]


def subjects_in(events: Sequence[Event]) -> list[str]:
    """``EVERY``, and what the events are about, in the order of the alphabet."""
    return [EVERY, *sorted({group_of(event) for event in events})]


def holds(event: Event, text: str) -> bool:
    """Whether the words of an event have ``text``, whatever its letters' size."""
    return bool(text) and text.lower() in f"{event.text} {event.subject}".lower()


def marked(line: Line, text: str, style: TextStyle = TextStyle.HELD) -> Line:
    """A line with every ``text`` in it marked."""
    found: list[TextSpan] = []
    for span in line:
        rest, low, wanted = span.text, span.text.lower(), text.lower()
        # Letters whose small form is longer (a dotted capital I) would shift the places.
        if not wanted or len(low) != len(rest):
            found.append(span)
            continue
        at = 0
        while (place := low.find(wanted, at)) >= 0:
            found.append(TextSpan(rest[at:place], span.style, span.target))
            found.append(TextSpan(rest[place : place + len(wanted)], style, span.target))
            at = place + len(wanted)
        found.append(TextSpan(rest[at:], span.style, span.target))
    return tuple([span for span in found if span.text])
