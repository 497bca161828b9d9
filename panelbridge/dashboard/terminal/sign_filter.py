"""On the way to the terminal: signs that its encoding lacks are replaced, of every widget."""

from __future__ import annotations

import sys

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from panelbridge.printing import chosen_encoding, shown_in


class SignFilter(LineFilter):
    """Shows what ``encoding`` has.

    Args:
        encoding: of the terminal, or the one that was chosen.
    """

    def __init__(self, encoding: str) -> None:
        super().__init__()
        self.encoding = encoding

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The segments of a line, sign by sign in the same cells."""
        return [
            Segment(shown_in(text, self.encoding), style, control)
            for text, style, control in segments
        ]


def sign_filters() -> list[LineFilter]:
    """What the terminal of this process needs; none where every sign can be shown.

    The library writes to the standard error stream.

    Raises:
        UsageError: the environment variable names no encoding.
    """
    encoding = chosen_encoding(getattr(sys.__stderr__, "encoding", None))
    return [] if shown_in("●", encoding) == "●" else [SignFilter(encoding)]
