"""The last line of the screen: the pages and the keys of the screen itself."""

from __future__ import annotations

from typing import NamedTuple

from panelbridge.dashboard.pages.page_turner import SECTIONS, PageTurner
from panelbridge.dashboard.text.lines import ClickTarget, Line, TextSpan, TextStyle, row, width_of

_KEYS_NAMED = 56
_BUTTONS_HELD = "    capital letter: hold or release a button"


class _Form(NamedTuple):
    """What the line names: all pages or the open one, help, and which of F6 and F7."""

    pages: bool
    help: bool
    views: tuple[str, ...]


_WHY, _LOG = "F6", "F7"
_FORMS = (
    _Form(True, True, (_WHY, _LOG)),
    _Form(True, False, (_WHY,)),
    _Form(False, True, (_WHY, _LOG)),
    _Form(False, True, (_WHY,)),
    _Form(False, True, ()),
)
"""The first that fits is drawn: reasons go before the log, which the key l enlarges too."""


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
    lines = [
        [*more, *_line(width, form, large_log=large_log, pages=pages), *show] for form in _FORMS
    ]
    line = next((one for one in lines if width_of(tuple(one)) <= width), lines[-1])
    if simulated and width_of(tuple(line)) + len(_BUTTONS_HELD) <= width:
        line.append(TextSpan(_BUTTONS_HELD, TextStyle.QUIET))
    return row(line, width)


def _line(width: int, form: _Form, *, large_log: bool, pages: PageTurner) -> list[TextSpan]:
    """The keys, with what ``form`` names."""
    line: list[TextSpan] = []
    for at, section in enumerate(SECTIONS, start=1):
        target = ClickTarget(str(at))
        is_open = section is pages.section and not large_log
        line.append(TextSpan(f" {at} ", TextStyle.KEY, target))
        if is_open:
            part = f"{pages.part + 1}/{pages.parts} " if pages.parts > 1 else ""
            line.append(TextSpan(f" {section} {part}", TextStyle.HELD, target))
        elif form.pages:
            line.append(TextSpan(section, target=target))
    # Two keys must not both be "log".
    log = "small log" if large_log else "large log" if _LOG in form.views else "log"
    for key, does in (("?", "help" if form.help else ""), ("l", log), ("q", "quit")):
        line += _key(key, does if width >= _KEYS_NAMED else "", TextStyle.TEXT)
    for key, does in ((_WHY, "why"), (_LOG, "log")):
        if key in form.views:
            line += _key(key, does, TextStyle.TEXT)
    return line


def _key(key: str, does: str, style: TextStyle) -> list[TextSpan]:
    target = ClickTarget(key)
    return [
        TextSpan(" "),
        TextSpan(f" {key} ", TextStyle.KEY, target),
        TextSpan(does, style, target),
    ]
