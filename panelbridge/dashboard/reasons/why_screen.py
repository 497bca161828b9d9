"""Why: what can be asked at the left, the reasons of what is chosen at the right, live."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.binding import BindingType

from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.reasons.draw_reasons import draw_reasons
from panelbridge.dashboard.reasons.subjects import HORN, Subject, narrowed, subjects_of
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    blank,
    fit,
    heading,
    quiet_row,
    row,
    side_by_side,
)
from panelbridge.dashboard.view_screen import Hint, ViewedRun, ViewScreen
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.signals import HornPattern

_BESIDE = 96
"""From this width on list and reasons stand beside each other."""
_LIST_WIDTH = 40
_ASK_TICKS = 10
"""The run is asked again after so many drawings."""

Ask = Callable[[str], None]


class WhyScreen(ViewScreen):
    """The reasons.

    Args:
        run: that is looked at.
        ask: asks the run for a subject; None when it cannot be asked.
        subject: that is chosen first; empty = the horn if it sounds, else what is first.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        *((key, f"choose({step})") for key, step in (("up", -1), ("down", 1))),
        *((key, f"scroll({step})") for key, step in (("pageup", -8), ("pagedown", 8))),
        ("home", "choose(-9999)"),
        ("end", "choose(9999)"),
    ]
    name_of_view = "why"

    def __init__(self, run: ViewedRun, ask: Ask | None, subject: str = "") -> None:
        super().__init__(run)
        self._ask = ask
        self.subject = subject
        self._typed = ""
        self._down = 0
        self._asked = ""
        self._ticks = 0

    def typed(self, text: str) -> None:
        """Narrow the list."""
        self._typed = self._typed + text if text else self._typed[:-1]
        self._choose_among(self._shown(self._run.content_now()))

    def hints(self) -> list[Hint]:
        """The keys of the view."""
        return [
            ("Up Down", "choose", ""),
            ("PgUp PgDn", "scroll", ""),
            ("F7", "log", "turn_to_view('log_view')"),
            ("F9", "copy", "copy_shown"),
            ("Esc", "close", "dismiss"),
        ]

    def _shown(self, content: ScreenContent) -> list[Subject]:
        return narrowed(subjects_of(content), self._typed)

    def _choose_among(self, subjects: list[Subject]) -> None:
        names = [one.name for one in subjects]
        if names and self.subject not in names:
            self._choose(names[0])

    def _choose(self, name: str) -> None:
        self.subject, self._down = name, 0

    def draw(self, content: ScreenContent, width: int, rows: int) -> list[Line]:
        """List and reasons."""
        every = subjects_of(content)
        known = {one.name: one for one in every}
        if not self.subject and every:
            sounds = content.snapshot.outputs.horn is not HornPattern.SILENT
            lit = [one for one in every if one.state.startswith("lit")]
            self.subject = HORN if sounds or not lit else lit[0].name
        subjects = narrowed(every, self._typed)
        # One that has gone (a fault that is over) stays chosen until another is.
        chosen = known.get(self.subject, Subject(self.subject, self.subject, "no longer present"))
        self._ask_run()
        beside = width >= _BESIDE
        list_width = _LIST_WIDTH if beside else width
        list_rows = rows if beside else max(min(rows // 3, len(subjects) + 1), 3)
        listed = self._list(subjects, list_width, list_rows)
        inner = width - list_width - 1 if beside else width
        room = rows if beside else rows - len(listed)
        reasons = self._scrolled(
            draw_reasons(chosen, content, inner, can_ask=self._ask is not None), inner, room
        )
        if not beside:
            return [*listed, *reasons]
        return side_by_side(
            [(listed, list_width), ([blank(1)] * len(reasons), 1), (reasons, inner)]
        )

    def _ask_run(self) -> None:
        self._ticks -= 1
        if self._ask is not None and (self._asked != self.subject or self._ticks <= 0):
            self._asked, self._ticks = self.subject, _ASK_TICKS
            self._ask(self.subject)

    def _list(self, subjects: list[Subject], width: int, rows: int) -> list[Line]:
        title = f"Why: {self._typed}_" if self._typed else "Why: type to narrow"
        lines = [heading([(title, width)], width)]
        room = rows - 1
        names = [one.name for one in subjects]
        at = names.index(self.subject) if self.subject in names else 0
        top = max(min(at - room // 2, len(subjects) - room), 0)
        for one in subjects[top : top + room]:
            is_chosen = one.name == self.subject
            target = ClickTarget(one.name)
            state = min(len(one.state), width // 2)
            label = fit(f" {one.sign} {one.label}", width - state - 2)
            ground = TextStyle.HELD if is_chosen else TextStyle.TEXT
            lines.append(
                row(
                    [
                        TextSpan(label, ground, target),
                        TextSpan(" ", ground, target),
                        TextSpan(fit(one.state, state), ground if is_chosen else one.style, target),
                        TextSpan(" ", ground, target),
                    ],
                    width,
                )
            )
        if not subjects:
            lines.append(quiet_row("nothing has these words", width))
        return lines

    def _scrolled(self, lines: list[Line], width: int, rows: int) -> list[Line]:
        self._down = max(min(self._down, len(lines) - rows), 0)
        shown = lines[self._down : self._down + rows]
        left = len(lines) - self._down - len(shown)
        if left and shown:
            shown[-1] = quiet_row(f"▼ {left + 1} more: Page Down", width)
        return shown

    async def clicked(self, target: ClickTarget) -> None:
        """Choose a subject, or do what a key does."""
        if target.name in {one.name for one in self._shown(self._run.content_now())}:
            self._choose(target.name)
        else:
            await super().clicked(target)

    def on_lines_widget_wheeled(self, message: LinesWidget.Wheeled) -> None:
        """The wheel scrolls the reasons, over the list it chooses."""
        message.stop()
        if message.target is not None:
            self.action_choose(-message.step)
        else:
            self.action_scroll(-3 * message.step)

    def action_choose(self, step: int) -> None:
        """Choose another subject of the list."""
        names = [one.name for one in self._shown(self._run.content_now())]
        if names:
            at = names.index(self.subject) if self.subject in names else 0
            self._choose(names[max(min(at + step, len(names) - 1), 0)])
        self.redraw()

    def action_scroll(self, step: int) -> None:
        """Scroll the reasons."""
        self._down = max(self._down + step, 0)
        self.redraw()
