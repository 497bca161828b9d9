"""The lines of a run without a screen: events, switches that move, and what the feed did."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from panelbridge.config.load import LoadedPanel
from panelbridge.config.words import counted
from panelbridge.engine.snapshot import Snapshot
from panelbridge.logic.inventory import switches_of
from panelbridge.logic.switches import Declared, words_of
from panelbridge.printing import console_writer, say_at_most
from panelbridge.signals import Event, HandleContacts, Level, SwitchState

LEVER_STEP = 0.02
"""A lever that moves by less is noise of its potentiometer."""
NAME_WIDTH = 28
"""Cells of an event's name: the longest one fits, so that all texts stand in one column."""
_MARKS = {Level.INFO: " ", Level.CAUTION: "!", Level.WARNING: "!!", Level.FAULT: "x"}


class SwitchLines:
    """Says what has moved since the last look.

    Args:
        declared: the switches that the aircraft knows.
    """

    def __init__(self, declared: Declared) -> None:
        self._declared = declared
        self._shown: dict[str, HandleContacts | bool | float] = {}

    def moved(self, now_s: float, switches: SwitchState) -> Iterator[str]:
        """A line for each switch that is found elsewhere, or found for the first time."""
        for name, position in switches.positions.items():
            before = self._shown.get(name)
            if before == position or _is_noise(before, position):
                continue
            self._shown[name] = position
            yield f"{now_s:9.2f} s      switch {name:<26} {self._word(name, position)}"
        for name in self._shown.keys() - switches.positions.keys():
            del self._shown[name]
            yield f"{now_s:9.2f} s      switch {name:<26} unknown"

    def _word(self, name: str, position: HandleContacts | bool | float) -> str:
        if isinstance(position, HandleContacts):
            return position.value
        if isinstance(position, bool):
            words = words_of(name, self._declared)
            return words.operated if position else words.free
        return f"{position:.0%}"


def _is_noise(before: object, position: object) -> bool:
    if isinstance(before, bool) or not isinstance(before, float) or not isinstance(position, float):
        return False
    return abs(position - before) < LEVER_STEP and 0.0 < position < 1.0


class HeadlessOutput:
    """The lines of a run without a screen; the engine's thread never waits for them."""

    def __init__(self) -> None:
        self._lines = console_writer()
        self.came: set[str] = set()
        """The boards that were live at any time."""

    def put(self, line: str) -> None:
        """A line of the heading."""
        self._lines.put(line)

    def put_event(self, event: Event) -> None:
        """The line of an event."""
        if event.name == "board_connected":
            self.came.add(event.subject)
        self._lines.put(event_line(event))

    def switches_of(self, loaded: LoadedPanel) -> Callable[[float, SwitchState], None]:
        """What prints the switches of a panel that move."""
        lines = SwitchLines(switches_of(loaded.aircraft))

        def put(now_s: float, switches: SwitchState) -> None:
            for line in lines.moved(now_s, switches):
                self._lines.put(line)

        return put

    def close(self) -> None:
        """Write what waits; says how much was lost."""
        lost = self._lines.close()
        if lost:
            say_at_most(f"panelbridge: {counted(lost, 'line')} of output lost")


def event_line(event: Event) -> str:
    """``   47.02 s  !!  the horn sounds: ...``: time, mark of the level, name, sentence."""
    head = f"{event.time_s:9.2f} s  {_MARKS[event.level]:<2}  {event.name:<{NAME_WIDTH}} "
    return head + event.text.replace("\n", "\n" + " " * len(head))


def feed_lines(snapshot: Snapshot) -> Iterator[str]:
    """At the end of a run: what came by the feed, what went out, and what was refused."""
    feed = snapshot.feed
    if feed.way:
        yield f"feed {snapshot.feed_name}: {counted(feed.messages, 'message')}"
        yield from (f"  refused {count:>6}  {reason}" for reason, count in feed.refused.items())
    for target in feed.targets:
        yield f"commands to {target.name}: {counted(target.sent, 'message')}"
        yield from (f"  refused {count:>6}  {why}" for why, count in target.refused.items())
