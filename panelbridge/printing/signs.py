"""Signs that an encoding lacks, and what stands for them: one table for console and screen.

Each replacement takes the cells of its sign. What nothing stands for becomes its letter without
marks, or a ``?``.
"""

from __future__ import annotations

import codecs
import os
import unicodedata
from collections.abc import Mapping
from functools import lru_cache

from panelbridge.errors import UsageError

VARIABLE = "PANELBRIDGE_SIGNS"
"""Names an encoding (``ascii``, ``cp437``) whose signs alone are shown, whatever the console is."""
REPLACEMENTS: Mapping[str, str] = {
    "▲": "^",
    "▼": "v",
    "►": ">",
    "→": ">",
    "●": "•*",
    "•": "*",
    "√": "+",
    "○": "o",
    "■": "#",
    "–": "-",
    "—": "-",
    "…": ".",
    "·": "-",
    "×": "x",
    "µ": "u",
    "Ω": "O",
    "Δ": "d",
    "°": "'",
    "“": '"',
    "”": '"',
    "✓": "√+",
    "✗": "x",
    "─": "-",
    "│": "|",
    "█": "#",
    "▀": '"',
    "▄": "o",
    "░": ":",
    **dict.fromkeys("┌┐└┘├┤┬┴┼╭╮╯╰", "+"),
    **dict.fromkeys("━═▁▔▂▃", "-"),
    **dict.fromkeys("┃║▏▕▎▍▌▐", "|"),
    **dict.fromkeys("▅▆▇▉▊▋", "#"),
}
"""By sign, the best first; the last one is in ASCII."""
_BRAILLE = range(0x2800, 0x2900)
_UPPER_DOTS = 0b0001_1011


def chosen_encoding(encoding: str | None) -> str:
    """The encoding whose signs are shown on a console that has ``encoding``.

    Raises:
        UsageError: the environment variable names no encoding.
    """
    chosen = os.environ.get(VARIABLE, "")
    if not chosen:
        return encoding or "utf-8"
    try:
        return codecs.lookup(chosen).name
    except (LookupError, ValueError):
        hint = "Use ascii, cp437 or utf-8, or leave it unset"
        raise UsageError(f"there is no encoding '{chosen}'", VARIABLE, hint) from None


def shown_in(text: str, encoding: str, *, escapes: bool = False) -> str:
    """``text`` with nothing in it that ``encoding`` lacks.

    Args:
        text: to show.
        encoding: of what shows it.
        escapes: letters that nothing is like stay, for who writes them escapes them.
    """
    if text.isascii() or encoding.lower().replace("_", "-") in ("utf-8", "utf8"):
        return text
    shown = [one if one.isascii() else _shown(one, encoding) for one in text]
    if escapes:
        shown = [one if "?" in new else new for one, new in zip(text, shown, strict=True)]
    return "".join(shown)


@lru_cache(maxsize=4096)
def _shown(sign: str, encoding: str) -> str:
    if _has(encoding, sign):
        return sign
    for one in REPLACEMENTS.get(sign, ""):
        if _has(encoding, one):
            return one
    if ord(sign) in _BRAILLE:
        bits = ord(sign) - _BRAILLE.start
        return " " if not bits else "'" if not bits & ~_UPPER_DOTS else "."
    bare = unicodedata.normalize("NFKD", sign)[0]
    if _has(encoding, bare):
        return bare
    return "??" if unicodedata.east_asian_width(sign) in "WF" else "?"


def _has(encoding: str, sign: str) -> bool:
    try:
        sign.encode(encoding)
    except UnicodeError:
        return False
    return True
