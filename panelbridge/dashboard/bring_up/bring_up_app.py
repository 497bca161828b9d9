"""The screen of a bring-up: draws the view, and passes keys and clicks on. It holds no state of it.

The run is turned by a timer of this screen's own loop: sessions never block, so no thread is
needed, and nothing is shared with one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Protocol

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Size

from panelbridge.dashboard.bring_up.blocks import (
    draw_header,
    draw_keys,
    draw_numbered,
    draw_parts,
    draw_places,
    draw_question,
    draw_seen,
)
from panelbridge.dashboard.terminal import TerminalApp
from panelbridge.dashboard.text.lines import Line, side_by_side
from panelbridge.dashboard.widgets import LinesWidget, PageWidget
from panelbridge.wiring.bring_up.prompts import BringUpView

REDRAW_TURNS = 5
"""The screen is drawn at each of so many turns, and after each answer."""
_LEAST_PLACES = 4
_KEYS = ("enter", "backspace")


class BringUpWork(Protocol):
    """What the screen shows and drives."""

    def turn(self, *, by_itself: bool = False) -> None:
        """Do what is due; ``by_itself``: a simulated user answers."""
        ...

    def view(self) -> BringUpView:
        """What is shown."""
        ...

    def key(self, key: str) -> None:
        """An answer."""
        ...

    def choose_number(self, number: int) -> None:
        """A numbered thing was picked."""
        ...

    def choose_part(self, key: str) -> None:
        """A part was picked."""
        ...

    def hand_does_it(self) -> None:
        """A simulated hand does what is asked."""
        ...

    @property
    def seen(self) -> tuple[Sequence[str], str] | None:
        """Lit lamps and the horn of a simulated panel; None of a real one."""
        ...


class BringUpApp(TerminalApp[bool]):
    """The screen; its result is whether the bring-up was ended, and not only paused.

    Args:
        work: the bring-up.
        turn_s: period of its turns, s; 0: someone else turns it.
    """

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "pause", priority=True),
        ("q,Q", "pause"),
        ("f2", "hand"),
        ("f3", "all"),
        ("pageup", "page(-1)"),
        ("pagedown", "page(1)"),
    ]

    def __init__(self, work: BringUpWork, *, turn_s: float) -> None:
        super().__init__()
        self.title = "panelbridge bring-up"
        self._work = work
        self._turn_s = turn_s
        self._turns = 0
        self._by_itself = False
        self._first = -1
        self._area = Size(0, 0)

    def compose(self) -> ComposeResult:
        """One page and the line of keys."""
        self._page = PageWidget(id="board")
        self._key_line = PageWidget(id="keys")
        yield from (self._page, self._key_line)

    def on_mount(self) -> None:
        """Start the timer."""
        self._area = self.size
        self.redraw()
        if self._turn_s:
            self.set_interval(self._turn_s, self.turn, name="panelbridge-bring-up")

    def turn(self) -> None:
        """One turn of the bring-up."""
        self._work.turn(by_itself=self._by_itself)
        self._turns += 1
        if self._turns % REDRAW_TURNS == 0:
            self.redraw()

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size at once."""
        self._area = event.size
        self.redraw()

    def redraw(self) -> None:
        """Draw what has changed."""
        width, height = self._area
        if not width:
            return
        view, seen = self._work.view(), self._work.seen
        self._page.show(self._lines(view, width, height - 1))
        self._key_line.show([draw_keys(view, width, simulated=seen is not None)])

    def _lines(self, view: BringUpView, width: int, height: int) -> list[Line]:
        seen = self._work.seen
        lines = draw_header(view, width)
        bottom: list[Line] = []
        if view.prompt.ask.kind in ("switch", "strokes", "lever"):
            rows = max(_LEAST_PLACES, height // 4)
            bottom += draw_places(view, width, rows)
        if seen is not None and view.prompt.ask.kind in ("dark", "lamp", "horn"):
            bottom.append(draw_seen(*seen, width))
        rows = height - len(lines) - len(bottom)
        right = max(30, width * 2 // 5)
        left = width - right
        if view.prompt.numbered:
            side = draw_numbered(view, right, rows, self._first)
        else:
            side = draw_parts(view, right, rows)
        lines += side_by_side([(draw_question(view, left, rows), left), (side, right)])
        return lines + bottom

    # Keys and mouse

    async def on_key(self, event: events.Key) -> None:
        """Pass an answer on."""
        key = event.key if event.key in _KEYS else (event.character or "").lower()
        if key and (key in _KEYS or key.isalnum()) and key != "q":
            self._press(key)

    def _press(self, key: str) -> None:
        if key == "enter" and self._work.view().finished:
            self.exit(True)
            return
        self._work.key(key)
        self._first = -1
        self.redraw()

    def on_page_widget_pressed(self, message: PageWidget.Pressed) -> None:
        """A click: on an answer, a number, a part or a key."""
        what, _, name = message.target.name.partition(" ")
        if what == "number":
            self._work.choose_number(int(name))
            self.redraw()
        elif what == "part":
            self._work.choose_part(name)
            self.redraw()
        elif name in ("f2", "f3", "q"):
            {"f2": self.action_hand, "f3": self.action_all, "q": self.action_pause}[name]()
        else:
            self._press(name)

    def on_lines_widget_wheeled(self, message: LinesWidget.Wheeled) -> None:
        """Scroll the numbered things."""
        self.action_page(-message.step)

    def action_page(self, step: int) -> None:
        """Show other numbered things."""
        most = max(len(self._work.view().prompt.numbered) - 1, 0)
        rows = max(self._area.height // 2, 1)
        self._first = min(max(self._first + step * rows, 0), most)
        self.redraw()

    def action_hand(self) -> None:
        """A simulated hand does what is asked."""
        self._work.hand_does_it()
        self.redraw()

    def action_all(self) -> None:
        """The simulated user goes on alone, or stops."""
        self._by_itself = not self._by_itself

    def action_pause(self) -> None:
        """End the screen; the progress is kept."""
        self.exit(False)
