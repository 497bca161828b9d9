"""The last line of the screen: which keys the screen has."""

from __future__ import annotations

from panelbridge.dashboard.pages import SECTIONS, PageTurner
from panelbridge.dashboard.pieces import Line, Look, Piece, Target, row

_TITLED = 64
"""From so many cells on every page has its name in the line."""


def draw_key_line(
    width: int,
    *,
    large_log: bool,
    finished: bool,
    can_fly_again: bool,
    simulated: bool,
    pages: PageTurner | None = None,
) -> Line:
    """The keys of the screen; the switches' keys stand beside the switches.

    Args:
        width: of the line.
        large_log: the log is enlarged.
        finished: the run has ended.
        can_fly_again: the run can begin anew.
        simulated: the switches can be moved from the screen.
        pages: which page is open, and of how many parts.
    """
    line: list[Piece] = []
    if can_fly_again and finished:
        line += _key("f", "fly again", Look.STRONG)
    line += _pages(pages or PageTurner(), width, large_log=large_log)
    words = [("?", "help"), ("l", "small log" if large_log else "log"), ("q", "quit")]
    for key, does in words:
        line += _key(key, does if width >= _NAMED else "", Look.TEXT)
    if simulated and width >= _EXPLAINED:
        line.append(Piece("    capital letter: hold a button, let it go", Look.QUIET))
    return row(line, width)


_NAMED = 56
_EXPLAINED = 112


def _key(key: str, does: str, look: Look) -> list[Piece]:
    return [Piece(" "), Piece(f" {key} ", Look.KEY, Target(key)), Piece(does, look, Target(key))]


def _pages(pages: PageTurner, width: int, *, large_log: bool) -> list[Piece]:
    line: list[Piece] = []
    for at, section in enumerate(SECTIONS):
        key = str(at + 1)
        is_open = section is pages.section and not large_log
        name = section.value if width >= _TITLED or is_open else ""
        if is_open and pages.parts > 1:
            name += f" {pages.part + 1}/{pages.parts}"
        line.append(Piece(f" {key} ", Look.KEY, Target(key)))
        if name:
            look = Look.HELD if is_open else Look.TEXT
            line.append(Piece(f" {name} " if is_open else name, look, Target(key)))
    return line
