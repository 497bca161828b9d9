"""A view over the whole screen, opened by a key: the reasons, the log.

It is drawn from the same snapshots as the pages, several times a second. What is typed goes to it
alone: no letter moves a switch meanwhile.
"""

from __future__ import annotations

from typing import ClassVar, Protocol

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen

from panelbridge.dashboard.pages.screen_content import ScreenContent, first_lines
from panelbridge.dashboard.selectable_lines import SelectableLines
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    blank,
    row,
)

REFRESH_S = 0.1
_HEADER_ROWS = 2


class ViewedRun(Protocol):
    """What a view reads of the screen that it lies over."""

    def content_now(self) -> ScreenContent:
        """The newest snapshot, and what else is shown."""

    def status_lines(self, width: int) -> list[Line]:
        """Whether what is shown is live; nothing for the run itself."""


Hint = tuple[str, str, str]
"""A key, what it does, and the action of a click on it."""


class ViewScreen(ModalScreen[None]):
    """Base of the views.

    Args:
        run: that is looked at.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape", "dismiss", "close"),
        Binding("f9", "copy_shown", "copy", priority=True),
        *((f"f{at + 1}", f"turn_to({at})") for at in range(5)),
        ("question_mark", "app.help"),
        ("f6", "turn_to_view('why')"),
        ("f7", "turn_to_view('log_view')"),
    ]
    DEFAULT_CSS = "ViewScreen { background: #171614; }"

    def __init__(self, run: ViewedRun) -> None:
        super().__init__()
        self._run = run
        self.body = SelectableLines(id="view")

    def compose(self) -> ComposeResult:
        """One part, which fills the screen."""
        yield self.body

    def on_mount(self) -> None:
        """Start to draw."""
        self.redraw()
        self.set_interval(REFRESH_S, self.redraw, name="panelbridge-view")

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size at once."""
        self.redraw(event.size.width, event.size.height)

    def redraw(self, width: int = 0, height: int = 0) -> None:
        """Draw: state of the connection, header and horn, the view, its keys."""
        width, height = width or self.size.width, height or self.size.height
        if not width or not height:
            return
        content = self._run.content_now()
        lines = self._run.status_lines(width)
        if height >= 14:
            lines += first_lines(content, width, _HEADER_ROWS - 1, _HEADER_ROWS - 1)
        keys = key_rows(self.hints(), width)
        room = max(height - len(lines) - len(keys), 1)
        body = self.draw(content, width, room)[:room]
        body += [blank(width)] * (room - len(body))
        self.body.show([*lines, *body, *keys][:height])

    def draw(self, content: ScreenContent, width: int, rows: int) -> list[Line]:
        """The view in at most ``rows`` lines."""
        raise NotImplementedError

    def hints(self) -> list[Hint]:
        """The keys of the view."""
        raise NotImplementedError

    def typed(self, text: str) -> None:
        """Take a letter; the empty text takes the last one back."""
        raise NotImplementedError

    async def on_key(self, event: events.Key) -> None:
        """What is typed goes to the view."""
        if event.key == "backspace":
            self.typed("")
        elif event.is_printable and event.character:
            self.typed(event.character)
        else:
            return
        event.stop()
        event.prevent_default()
        self.redraw()

    async def on_click(self, event: events.Click) -> None:
        """A click on a line chooses it, one on a key does what the key does."""
        target = self.body.target_of(event)
        if target is not None and not self.get_selected_text():
            await self.clicked(target)
            self.redraw()

    async def clicked(self, target: ClickTarget) -> None:
        """Do what a click does: run the action that it names."""
        await self.run_action(target.name)

    def action_copy_shown(self) -> None:
        """Copy what is selected, or all that is shown."""
        text = self.get_selected_text() or self.body.all_text()
        self.app.copy_to_clipboard(text)
        what = "line" if text.count("\n") == 0 else f"{text.count(chr(10)) + 1} lines"
        self.notify(f"Copied {what}, if this terminal lets programs copy.", timeout=3)

    async def action_turn_to(self, at: int) -> None:
        """Close, and open a page."""
        await self._after_closing(f"page({at})")

    async def action_turn_to_view(self, view: str) -> None:
        """Close, and open another view; the key of this one closes it."""
        await self._after_closing("" if view == self.name_of_view else view)

    name_of_view = ""

    async def _after_closing(self, action: str) -> None:
        app = self.app
        self.dismiss()
        if action:
            app.call_later(app.run_action, action)


def key_rows(hints: list[Hint], width: int) -> list[Line]:
    """The keys of a view, in one line or two; those that do not fit are left out."""
    lines: list[list[TextSpan]] = [[]]
    left = width
    for key, does, action in hints:
        target = ClickTarget(action) if action else None
        cells = len(key) + len(does) + 4
        if cells > left:
            if len(lines) == 2:
                break
            lines.append([])
            left = width
        lines[-1] += [
            TextSpan(f" {key} ", TextStyle.KEY, target),
            TextSpan(f"{does}  ", TextStyle.TEXT, target),
        ]
        left -= cells
    return [row(line, width) for line in lines]
