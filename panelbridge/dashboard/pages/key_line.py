"""The last line of the screen: the pages and the keys of the screen itself."""

from __future__ import annotations

from panelbridge.dashboard.pages.page_turner import SECTIONS, PageTurner
from panelbridge.dashboard.text.lines import ClickTarget, Line, TextSpan, TextStyle, row, width_of

_KEYS_NAMED = 56
_EXPLAINED = 112


def draw_key_line(
    width: int,
    *,
    large_log: bool,
    fly_again: bool,
    simulated: bool,
    pages: PageTurner,
    is_show: bool = False,
) -> Line:
    """The keys of the screen; the switches' keys are beside the switches.

    Args:
        width: of the line.
        large_log: the log is enlarged.
        fly_again: the flight has finished and can be flown again.
        simulated: the switches can be moved from the screen.
        pages: which page is open, and of how many parts.
        is_show: the run has a show panel.
    """
    more = _key("f", "fly again", TextStyle.STRONG) if fly_again else []
    show = _key("F8", "show", TextStyle.TEXT) if is_show else []
    line = [*more, *_line(width, large_log=large_log, pages=pages, named=True), *show]
    if width_of(tuple(line)) > width:
        line = [*more, *_line(width, large_log=large_log, pages=pages, named=False), *show]
    if simulated and width >= _EXPLAINED:
        line.append(TextSpan("    capital letter: hold or release a button", TextStyle.QUIET))
    return row(line, width)


def _line(width: int, *, large_log: bool, pages: PageTurner, named: bool) -> list[TextSpan]:
    """The keys, with the names of all pages or of the open one alone."""
    line: list[TextSpan] = []
    for at, section in enumerate(SECTIONS, start=1):
        target = ClickTarget(str(at))
        is_open = section is pages.section and not large_log
        line.append(TextSpan(f" {at} ", TextStyle.KEY, target))
        if is_open:
            part = f"{pages.part + 1}/{pages.parts} " if pages.parts > 1 else ""
            line.append(TextSpan(f" {section} {part}", TextStyle.HELD, target))
        elif named:
            line.append(TextSpan(section, target=target))
    for key, does in (("?", "help"), ("l", "small log" if large_log else "log"), ("q", "quit")):
        line += _key(key, does if width >= _KEYS_NAMED else "", TextStyle.TEXT)
    return line


def _key(key: str, does: str, style: TextStyle) -> list[TextSpan]:
    target = ClickTarget(key)
    return [
        TextSpan(" "),
        TextSpan(f" {key} ", TextStyle.KEY, target),
        TextSpan(does, style, target),
    ]
