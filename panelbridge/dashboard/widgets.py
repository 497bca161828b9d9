"""The widgets: each one a rectangle of drawn lines, repainted only where a line has changed."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from panelbridge.dashboard.board_view import target_at
from panelbridge.dashboard.palette import blank_strip, strip_of
from panelbridge.dashboard.pieces import Line, Target


class LinesWidget(Widget):
    """Shows lines that somebody else has drawn."""

    DEFAULT_CSS = """
    LinesWidget { width: 100%; height: 0; background: #171614; }
    """
    ALLOW_SELECT = False

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._lines: list[Line] = []
        self._strips: list[Strip] = []
        self.repainted_lines = 0
        """How many lines were repainted since the start, for tests of the cost."""

    @property
    def lines(self) -> Sequence[Line]:
        """What is shown."""
        return self._lines

    def show(self, lines: Sequence[Line]) -> None:
        """Show ``lines``; only those that differ from before are repainted."""
        before = self._lines
        changed = [y for y, line in enumerate(lines) if y >= len(before) or line != before[y]]
        if not changed and len(lines) == len(before):
            return
        strips = self._strips[: len(lines)]
        for y in changed:
            strip = strip_of(lines[y])
            if y < len(strips):
                strips[y] = strip
            else:
                strips.append(strip)
        self._lines, self._strips = list(lines), strips
        self.repainted_lines += len(changed)
        if len(lines) != len(before):
            self.styles.height = len(lines)
            self.refresh()
        else:
            self.refresh(*(Region(0, y, self.size.width, 1) for y in changed))

    def render_line(self, y: int) -> Strip:
        """One line for the terminal."""
        width = self.size.width
        if y >= len(self._strips):
            return blank_strip(width)
        # For a moment after a resize the lines still have the width from before.
        strip = self._strips[y]
        return strip if strip.cell_length == width else strip.adjust_cell_length(width)


class BoardWidget(LinesWidget):
    """The board: tells what the mouse takes hold of."""

    class Taken(Message):
        """The mouse took hold of a switch."""

        def __init__(self, target: Target) -> None:
            super().__init__()
            self.target = target

    class LetGo(Message):
        """The mouse let go of what it had taken hold of."""

    class Wheeled(Message):
        """The wheel was turned over a switch; ``step`` is +1 or -1."""

        def __init__(self, target: Target, step: int) -> None:
            super().__init__()
            self.target = target
            self.step = step

    def _target(self, event: events.MouseEvent) -> Target | None:
        return target_at(self._lines, event.x, event.y)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Take hold; the mouse is kept so that letting go is seen wherever it happens."""
        target = self._target(event)
        if event.button == 1 and target is not None:
            self.capture_mouse()
            self.post_message(self.Taken(target))

    def on_mouse_up(self, event: events.MouseUp) -> None:
        """Let go."""
        self.release_mouse()
        self.post_message(self.LetGo())

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """More."""
        self._wheel(event, 1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Less."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, step: int) -> None:
        target = self._target(event)
        if target is not None:
            event.stop()
            self.post_message(self.Wheeled(target, step))


class LogWidget(LinesWidget):
    """The log: tells how far the wheel was turned."""

    class Wheeled(Message):
        """The wheel was turned; ``step`` is +1 towards older events, -1 towards newer."""

        def __init__(self, step: int) -> None:
            super().__init__()
            self.step = step

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Towards older events."""
        event.stop()
        self.post_message(self.Wheeled(1))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Towards newer events."""
        event.stop()
        self.post_message(self.Wheeled(-1))


class KeyLine(LinesWidget):
    """The line of keys at the bottom; a click on one does what the key does."""

    class Clicked(Message):
        """A key of the line was clicked."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    def on_click(self, event: events.Click) -> None:
        """Pass the key on."""
        target = target_at(self._lines, event.x, event.y)
        if target is not None:
            self.post_message(self.Clicked(target.switch))
