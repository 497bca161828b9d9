"""A banner: large words that are read from two metres, and a small line for close by below them.

What is normal is a grey word, what is not is a filled ground. A warning has white bars at its ends
(red is the dullest of all grounds to some eyes), what cannot be trusted has chequered ones: both
are seen without colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from functools import lru_cache

from msgspec import Struct
from rich.cells import cell_len

from panelbridge.dashboard.text.big_letters import big_rows, big_text, big_width
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, row

_END = 2
"""Cells of a bar at the end of a filled ground."""


class BannerLook(StrEnum):
    """What a banner means."""

    NORMAL = "normal"
    """Nothing to see: a grey word."""
    PLAIN = "plain"
    """A state that is neither good nor bad."""
    GOOD = "good"
    CAUTION_WORD = "caution_word"
    """A caution that is known: letters without a ground."""
    WARNING_WORD = "warning_word"
    """A warning that was silenced: letters without a ground."""
    CAUTION = "caution"
    NOT_VALID = "not_valid"
    """What is shown cannot be trusted: chequered ends."""
    WARNING = "warning"


_FILLED = {
    BannerLook.CAUTION: TextStyle.LIT_AMBER,
    BannerLook.NOT_VALID: TextStyle.LIT_AMBER,
    BannerLook.WARNING: TextStyle.LIT_RED,
}
_LETTERS = {
    BannerLook.NORMAL: (TextStyle.STATUS, TextStyle.QUIET),
    BannerLook.PLAIN: (TextStyle.TEXT, TextStyle.TEXT),
    BannerLook.GOOD: (TextStyle.GOOD, TextStyle.TEXT),
    BannerLook.CAUTION_WORD: (TextStyle.CAUTION, TextStyle.CAUTION),
    BannerLook.WARNING_WORD: (TextStyle.ALARM, TextStyle.ALARM),
}
"""Styles of the large words and of the small line."""
_SIGNS = {
    BannerLook.CAUTION_WORD: "! ",
    BannerLook.CAUTION: "! ",
    BannerLook.NOT_VALID: "! ",
    BannerLook.WARNING_WORD: "▲ ",
    BannerLook.WARNING: "▲ ",
}


class Banner(Struct, frozen=True):
    """A banner.

    Attributes:
        words: the large words, the longest first: the first that fits is shown.
        small: the line below them, in the same way; the last is cut if it must be.
        look: what it means.
        right: at the right end of the small line, where there is room.
    """

    words: tuple[str, ...]
    small: tuple[str, ...] = ("",)
    look: BannerLook = BannerLook.NORMAL
    right: str = ""

    @property
    def is_filled(self) -> bool:
        """Whether it has a ground of its own."""
        return self.look in _FILLED


def banner_rows(scale: int) -> int:
    """Rows of a banner whose pixels are ``scale`` cells wide; 1 for a scale of 0."""
    return big_rows(scale) + 1 if scale else 1


@lru_cache(maxsize=64)
def draw_banner(banner: Banner, width: int, scale: int = 1) -> Sequence[Line]:
    """The banner in ``banner_rows`` lines.

    Args:
        banner: to draw.
        width: of every line.
        scale: cells of a pixel of its letters; 0: one line of plain text.
    """
    letters, small = _LETTERS.get(banner.look, (TextStyle.TEXT, TextStyle.TEXT))
    fill = _FILLED.get(banner.look)
    if fill is not None:
        letters = small = fill
    if not scale:
        words, text = banner.words[-1], banner.small[0]
        line = f" {_SIGNS.get(banner.look, '')}{words}{': ' if text else ''}{text}"
        return (row([TextSpan(fit(line, width), fill or letters)], width),)
    ends = _ends(banner.look)
    if ends and not any(_fits(text, width - 1 - 2 * _END, scale) for text in banner.words):
        ends = ""
    inner = max(width - 1 - len(ends) * 2, 1)
    lines: list[Line] = []
    for text in _large(banner.words, inner, scale):
        lines.append(_framed([TextSpan(fit(text, inner), letters)], ends, len(lines), fill, width))
    under = TextSpan(_small(banner, inner), small)
    lines.append(_framed([under], ends, len(lines), fill, width))
    return tuple(lines)


def _fits(text: str, width: int, scale: int) -> bool:
    return big_width(text, scale) <= width


def _large(words: tuple[str, ...], width: int, scale: int) -> list[str]:
    for text in words:
        if _fits(text, width, scale):
            return list(big_text(text, scale))
    # Too long for large letters: plain capitals in the middle row.
    lines = [""] * big_rows(scale)
    lines[len(lines) // 2] = next((text for text in words if cell_len(text) <= width), words[-1])
    return lines


def _small(banner: Banner, width: int) -> str:
    room = width - cell_len(banner.right) - 2 if banner.right else width
    sign = _SIGNS.get(banner.look, "")
    texts = [f"{sign}{text}" if text else "" for text in banner.small]
    for text in texts:
        if cell_len(text) <= room:
            return fit(text, width - cell_len(banner.right)) + banner.right
    return fit(next((text for text in texts if cell_len(text) <= width), texts[-1]), width)


def _ends(look: BannerLook) -> str:
    return {BannerLook.WARNING: "  ", BannerLook.NOT_VALID: "▀▄"}.get(look, "")


def _framed(inner: list[TextSpan], ends: str, at: int, fill: TextStyle | None, width: int) -> Line:
    pad = TextSpan(" ", fill or TextStyle.TEXT)
    if not ends:
        return row([pad, *inner], width)
    style = TextStyle.LIT_WHITE if ends.isspace() else fill or TextStyle.TEXT
    return row([TextSpan(ends, style), pad, *inner, TextSpan(ends, style)], width)


def beside(left: Sequence[Line], right: Sequence[Line]) -> list[Line]:
    """Two banners in one row."""
    return [(*one, *other) for one, other in zip(left, right, strict=True)]
