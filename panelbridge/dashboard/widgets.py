"""The widgets: each one a rectangle of lines, repainted only where one has changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from textual import events
from textual.filter import ANSIToTruecolor
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from panelbridge.dashboard.text.lines import ClickTarget, Line, TextStyle, target_at, width_of
from panelbridge.dashboard.text.palette import strip_of, styles_for


class LinesWidget(Widget):
    """Shows lines, and reports the mouse wheel over them.

    Attributes:
        lines: what is shown.
        repainted_lines: number of lines painted since the start, for tests of the cost.
    """

    DEFAULT_CSS = """
    LinesWidget { width: 100%; height: 0; background: #171614; }
    """
    ALLOW_SELECT = False

    @dataclass
    class Wheeled(Message):
        """The mouse wheel was turned: ``step`` +1 up, -1 down."""

        part: str | None
        target: ClickTarget | None
        step: int

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.lines: Sequence[Line] = ()
        self._strips: list[Strip] = []
        self.repainted_lines = 0

    def show(self, lines: Sequence[Line]) -> None:
        """Show ``lines``; of those that have changed, the spans that have are repainted."""
        before = self.lines
        changed = [y for y, line in enumerate(lines) if y >= len(before) or line != before[y]]
        if not changed and len(lines) == len(before):
            return
        strips = self._strips[: len(lines)] + [Strip.blank(0)] * (len(lines) - len(before))
        styles = styles_for(self.app.console.color_system)
        for y in changed:
            strips[y] = strip_of(lines[y], styles)
        self.lines, self._strips = list(lines), strips
        self.repainted_lines += len(changed)
        if len(lines) != len(before):
            self.styles.height = len(lines)
            self.refresh()
        else:
            self.refresh(*[_changed_region(y, before[y], lines[y]) for y in changed])

    def render_line(self, y: int) -> Strip:
        """One line for the terminal."""
        return self._line(y, self.size.width)

    def _line(self, y: int, width: int) -> Strip:
        if y >= len(self._strips):
            styles = styles_for(self.app.console.color_system)
            return Strip.blank(width, styles[TextStyle.TEXT])
        # Just after a resize the lines still have the width from before.
        strip = self._strips[y]
        return strip if strip.cell_length == width else strip.adjust_cell_length(width)

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines in ``crop``: these widgets have no border and no padding to look up."""
        if self.opacity != 1.0:
            return super().render_lines(crop)
        width = self.size.width
        strips = [self._line(y, width) for y in crop.line_range]
        for line_filter in self.get_line_filters():
            if isinstance(line_filter, ANSIToTruecolor):
                continue  # the colours of these lines are true ones already
            ground = self.background_colors[1]
            strips = [strip.apply_filter(line_filter, ground) for strip in strips]
        if crop.column_span != (0, width):
            strips = [strip.crop(*crop.column_span) for strip in strips]
        return strips

    def target_of(self, event: events.MouseEvent) -> ClickTarget | None:
        """What a click at the place of ``event`` does."""
        return target_at(self.lines, event.x, event.y)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Report the wheel."""
        self._wheel(event, 1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Report the wheel."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, step: int) -> None:
        event.stop()
        self.post_message(self.Wheeled(self.id, self.target_of(event), step))


def _changed_region(y: int, before: Line, line: Line) -> Region:
    """From the first to the last span of a line that is another than before."""
    begin, end = 0, max(width_of(before), width_of(line))
    if width_of(before) == width_of(line):
        begin = _cells_alike(before, line)
        end -= _cells_alike(before[::-1], line[::-1])
    return Region(begin, y, max(end - begin, 0), 1)


def _cells_alike(before: Line, line: Line) -> int:
    """Cells of the spans that two lines begin with."""
    alike = takewhile(lambda pair: pair[0] == pair[1], zip(before, line, strict=False))
    return width_of([span for span, _ in alike])


class PageWidget(LinesWidget):
    """The page: reports which switch the mouse button holds."""

    @dataclass
    class Pressed(Message):
        """The mouse button went down on a switch."""

        target: ClickTarget

    class Released(Message):
        """The mouse button came up."""

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Capture the mouse, so that its release is seen wherever it happens."""
        target = self.target_of(event)
        if event.button == 1 and target is not None:
            self.capture_mouse()
            self.post_message(self.Pressed(target))

    def on_mouse_up(self, event: events.MouseUp) -> None:
        """Release the mouse."""
        self.release_mouse()
        self.post_message(self.Released())


class KeyLineWidget(LinesWidget):
    """The line of keys at the bottom; a click on one does what the key does."""

    @dataclass
    class Clicked(Message):
        """A key of the line was clicked."""

        key: str

    def on_click(self, event: events.Click) -> None:
        """Report the key."""
        target = self.target_of(event)
        if target is not None:
            self.post_message(self.Clicked(target.name))
