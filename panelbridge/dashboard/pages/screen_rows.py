"""How the rows of the screen are shared between page, links, log and key line."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

FIRST_LINES = 3
"""Header and horn, which stay when the log is enlarged."""


class ScreenRows(Struct, frozen=True):
    """Rows of each part; 0 = not shown. Together they are the screen's height."""

    board: int
    links: int
    log: int
    keys: int

    def with_line(self) -> ScreenRows:
        """With a row for one more line, of the log if it has any; tiles never move."""
        if self.log:
            return replace(self, log=self.log - 1)
        return replace(self, board=max(self.board - 1, 0))


def share_rows(height: int, board: int, links: int, *, large_log: bool = False) -> ScreenRows:
    """Share ``height`` rows: first the page, then the links; the log gets what is left.

    Args:
        height: of the screen.
        board: rows that the page wants.
        links: rows that the links want.
        large_log: the log is enlarged and takes nearly everything.
    """
    keys = 1 if height >= 8 else 0
    left = max(height - keys, 0)
    if large_log:
        first = min(FIRST_LINES if height >= 8 else 1, left)
        return ScreenRows(first, 0, left - first, keys)
    board_rows = min(board, left)
    left -= board_rows
    if left < links and height >= 16:
        # The links do without their heading, and the page gives up its last rows: what to do about
        # a lost board must stay readable.
        wanted = min(links - 1, height // 3)
        give = max(wanted - left, 0)
        board_rows, left = board_rows - give, left + give
    link_rows = min(links, left)
    return ScreenRows(board_rows, link_rows, left - link_rows, keys)
