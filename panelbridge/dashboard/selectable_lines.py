"""Lines that can be selected with the mouse, and copied."""

from __future__ import annotations

from rich.style import Style
from textual.geometry import Region
from textual.selection import Selection
from textual.strip import Strip

from panelbridge.dashboard.widgets import LinesWidget

_SELECTED = Style(reverse=True)


class SelectableLines(LinesWidget):
    """Lines that fill a view; the selection is shown in reverse."""

    ALLOW_SELECT = True
    DEFAULT_CSS = """
    SelectableLines { width: 100%; height: 100%; background: #171614; }
    """

    def render_line(self, y: int) -> Strip:
        """One line for the terminal, with what is selected of it."""
        strip = super().render_line(y)
        selection = self.text_selection
        span = None if selection is None else selection.get_span(y)
        if span is not None:
            start, end = span
            end = strip.cell_length if end < 0 else min(end, strip.cell_length)
            if start < end:
                before, inside, after = strip.divide([start, end, strip.cell_length])
                strip = Strip.join([before, inside.apply_style(_SELECTED), after])
        return strip.apply_offsets(0, y)

    def get_selection(self, selection: Selection) -> tuple[str, str] | None:
        """What is selected, without the spaces at the ends of lines."""
        lines = ["".join(span.text for span in line) for line in self.lines]
        text = selection.extract("\n".join(lines))
        return "\n".join([line.rstrip() for line in text.split("\n")]), "\n"

    def selection_updated(self, selection: Selection | None) -> None:
        """Repaint all lines, because the selection has changed."""
        self.refresh(Region(0, 0, *self.size))

    def all_text(self) -> str:
        """Everything that is shown."""
        lines = ["".join(span.text for span in line).rstrip() for line in self.lines]
        return "\n".join(lines).strip("\n")
