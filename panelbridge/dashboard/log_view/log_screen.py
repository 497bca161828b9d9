"""The log over the whole screen: filtered by level and subject, searched, saved."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType

from panelbridge.dashboard.blocks.log import event_lines
from panelbridge.dashboard.log_view.log_filter import (
    EVERY,
    LeastLevel,
    LogFilter,
    holds,
    marked,
    subjects_in,
)
from panelbridge.dashboard.log_view.saved_log import log_text, proposed_name, save_log
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, heading, quiet_row, row
from panelbridge.dashboard.view_screen import Hint, ViewedRun, ViewScreen
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.snapshot import KEPT_EVENTS, Snapshot
from panelbridge.errors import UsageError
from panelbridge.signals import Event

_MOST_LINES = 6
_ALL = 1_000_000


class LogScreen(ViewScreen):
    """The log.

    Args:
        run: that is looked at.
        can_save: files can be written where this screen is.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "level", priority=True),
        Binding("shift+tab", "subject", priority=True),
        ("left", "find(-1)"),
        ("right", "find(1)"),
        ("enter", "enter"),
        Binding("escape", "leave", priority=True),
        Binding("ctrl+s", "save", priority=True),
        *(
            (key, f"scroll({step})")
            for key, step in (
                *(("up", 1), ("down", -1), ("pageup", 10), ("pagedown", -10)),
                *(("home", _ALL), ("end", -_ALL)),
            )
        ),
    ]
    name_of_view = "log_view"

    def __init__(self, run: ViewedRun, *, can_save: bool) -> None:
        super().__init__(run)
        self._can_save = can_save
        self.filter = LogFilter()
        self._search = ""
        self._match: Event | None = None
        self._back = 0
        self._count = -1
        self._file: str | None = None
        """Name of the file that is being asked for; None while none is."""
        self._saves_all = False
        self._overwrites = ""
        self._error = ""

    # Keys

    def typed(self, text: str) -> None:
        """Search, or name the file."""
        if self._file is not None:
            self._file = self._file + text if text else self._file[:-1]
            self._overwrites = self._error = ""
            return
        self._search = self._search + text if text else self._search[:-1]
        self._match = None
        self.action_find(-1)

    def hints(self) -> list[Hint]:
        """The keys of the view."""
        if self._file is not None:
            other = "only what is shown" if self._saves_all else "the whole log"
            write = "overwrite it" if self._overwrites else "write"
            return [("Enter", write, "enter"), ("Tab", other, "level"), ("Esc", "back", "leave")]
        found = [
            ("Tab", "level", "level"),
            ("Shift+Tab", "subject", "subject"),
            ("Left Right", "previous, next match", ""),
        ]
        if self._can_save:
            found.append(("Ctrl+S", "save", "save"))
        return [
            *found,
            ("F6", "why", "turn_to_view('why')"),
            ("F9", "copy", "copy_shown"),
            ("Esc", "close", "leave"),
        ]

    def action_level(self) -> None:
        """The next level; while a file is named, what of the log is saved."""
        if self._file is not None:
            self._saves_all = not self._saves_all
        else:
            levels = list(LeastLevel)
            at = levels.index(self.filter.least)
            self._take(LogFilter(levels[(at + 1) % len(levels)], self.filter.subject))
        self.redraw()

    def action_subject(self) -> None:
        """The next subject among the events that are kept."""
        subjects = subjects_in(self._snapshot.events)
        at = subjects.index(self.filter.subject) if self.filter.subject in subjects else 0
        self._take(LogFilter(self.filter.least, subjects[(at + 1) % len(subjects)]))
        self.redraw()

    def _take(self, chosen: LogFilter) -> None:
        self.filter, self._back, self._match = chosen, 0, None

    def action_scroll(self, step: int) -> None:
        """Scroll ``step`` events back; a negative ``step`` towards the newest."""
        self._back = self._within(self._back + step)
        self.redraw()

    def _within(self, back: int) -> int:
        return max(min(back, len(self._shown()) - 1), 0)

    def action_find(self, step: int) -> None:
        """The match before or after this one: -1 is the one before in time."""
        events = self._shown()
        places = [at for at, event in enumerate(events) if holds(event, self._search)]
        if not places:
            self._match = None
        else:
            here = next((at for at, event in enumerate(events) if event is self._match), None)
            if here is None:
                at = places[-1]
            elif step < 0:
                at = max([place for place in places if place < here], default=places[-1])
            else:
                at = min([place for place in places if place > here], default=places[0])
            self._match = events[at]
            self._back = self._within(len(events) - 1 - at - 2)
        self.redraw()

    def action_enter(self) -> None:
        """Write the file that is named; else the next match."""
        if self._file is not None:
            self._write()
            self.redraw()
        else:
            self.action_find(-1)

    def action_leave(self) -> None:
        """Leave off naming a file, or close."""
        if self._file is None:
            self.dismiss()
            return
        self._file, self._overwrites, self._error = None, "", ""
        self.redraw()

    def action_save(self) -> None:
        """Ask for the name of a file."""
        if self._can_save and self._file is None:
            self._file, self._saves_all = proposed_name(self._snapshot), False
            self._overwrites = self._error = ""
            self.redraw()

    def on_lines_widget_wheeled(self, message: LinesWidget.Wheeled) -> None:
        """The wheel scrolls."""
        message.stop()
        self.action_scroll(message.step)

    # The file

    def _write(self) -> None:
        assert self._file is not None
        name = self._file.strip()
        path = Path(name).expanduser()
        if not name:
            self._error = "a file needs a name"
            return
        if path.exists() and self._overwrites != name:
            self._overwrites = name
            return
        snapshot = self._snapshot
        events = list(snapshot.events) if self._saves_all else self._shown()
        if not events:
            self._error = "there is nothing to save: Tab saves the whole log"
            return
        what = "all that is kept"
        if not self._saves_all and self.filter != LogFilter():
            what = f"{self.filter.least}, {self.filter.subject}"
        try:
            save_log(path, log_text(events, snapshot, what))
        except UsageError as error:
            self._error, self._overwrites = f"{error.what}. {error.hint or ''}".strip(), ""
            return
        self._file, self._overwrites = None, ""
        self.notify(f"{len(events)} events written: {path.absolute()}", timeout=6, markup=False)

    # Drawing

    @property
    def _snapshot(self) -> Snapshot:
        return self._run.content_now().snapshot

    def _shown(self) -> list[Event]:
        return self.filter.shown(self._snapshot.events)

    def draw(self, content: ScreenContent, width: int, rows: int) -> list[Line]:
        """What is filtered and searched, and the events, newest at the bottom."""
        snapshot, events = content.snapshot, self._shown()
        if self._back and self._count >= 0:
            # Keep the events in view in place while new ones arrive.
            new = min(max(snapshot.event_count - self._count, 0), len(snapshot.events))
            fresh = snapshot.events[len(snapshot.events) - new :]
            self._back += len(self.filter.shown(fresh))
        self._count = snapshot.event_count
        self._back = self._within(self._back)
        head = self._head(snapshot, events, width)
        room = rows - len(head)
        shown: list[Line] = []
        at = len(events) - self._back
        while at > 0 and len(shown) < room:
            at -= 1
            most = min(_MOST_LINES, room - len(shown))
            shown[:0] = self._event(events[at], width, most)
        if not events:
            shown = [quiet_row("no event is like this", width)]
        return [*head, *shown]

    def _event(self, event: Event, width: int, most: int) -> list[Line]:
        lines = event_lines(event, width, most)
        if not holds(event, self._search):
            return lines
        here = TextStyle.LIT_WHITE if event is self._match else TextStyle.HELD
        return [marked(line, self._search, here) for line in lines]

    def _head(self, snapshot: Snapshot, events: list[Event], width: int) -> list[Line]:
        kept, count = len(snapshot.events), snapshot.event_count
        memory = f"the last {KEPT_EVENTS} are kept" if count > kept else "all are kept"
        title = f"Log: {len(events)} of {kept} shown; {count} so far, {memory}"
        filters = [
            TextSpan(" Level ", TextStyle.QUIET),
            TextSpan(self.filter.least, TextStyle.STRONG),
            TextSpan("   Subject ", TextStyle.QUIET),
            TextSpan(self.filter.subject, TextStyle.STRONG),
        ]
        if self.filter.subject == EVERY:
            filters[-1] = TextSpan(EVERY, TextStyle.TEXT)
        if self._back:
            filters.append(TextSpan(f"   {self._back} newer below: End", TextStyle.QUIET))
        lines = [heading([(title, width)], width), row(filters, width)]
        if self._file is not None:
            return [*lines, *self._file_lines(events, kept, width)]
        found = [event for event in events if holds(event, self._search)]
        text = f" Search {self._search}_" if self._search else " Search: type"
        parts = [TextSpan(text, TextStyle.STRONG if self._search else TextStyle.QUIET)]
        if self._search:
            place = 0
            if self._match is not None:
                place = next((n for n, one in enumerate(found, 1) if one is self._match), 0)
            matches = f"   match {place} of {len(found)}" if found else "   no match"
            parts.append(TextSpan(matches, TextStyle.QUIET if found else TextStyle.CAUTION))
        return [*lines, row(parts, width)]

    def _file_lines(self, events: list[Event], kept: int, width: int) -> list[Line]:
        count = kept if self._saves_all else len(events)
        what = "the whole log" if self._saves_all else "what is shown"
        ask = [
            TextSpan(f" Save {what}, {count} events, as ", TextStyle.QUIET),
            TextSpan(f"{self._file}_", TextStyle.HELD),
        ]
        lines = [row(ask, width)]
        if self._overwrites:
            text = " This file is there already: Enter once more overwrites it"
            lines.append(row([TextSpan(fit(text, width), TextStyle.CAUTION)], width))
        if self._error:
            lines.append(row([TextSpan(fit(f" {self._error}", width), TextStyle.ALARM)], width))
        return lines
