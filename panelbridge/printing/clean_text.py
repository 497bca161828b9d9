"""Text as it may be shown: names come from files, and a terminal obeys what is in them."""

from __future__ import annotations

import unicodedata
from pathlib import Path

_HARMLESS = frozenset("\n\t")
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
"""Categories of the Unicode Character Database: controls, formats (those that turn the direction of
writing among them), surrogates, private and unassigned characters, separators of lines."""


def clean_text(text: str) -> str:
    r"""``text`` with every control character written out: ``\x1b``, ``\u202e``.

    Line feeds and tabs stay. No name in a file can colour, move or answer for a terminal
    (ECMA-48: control functions begin with a character of C0 or C1).
    """
    if text.isprintable():
        return text
    return "".join([one if _is_seen(one) else _written_out(one) for one in text])


def clean_line(text: str) -> str:
    """The same for one line: line feeds are written out too."""
    return clean_text(text).replace("\n", "\\n")


def shown_path(path: Path) -> str:
    """A path as one types it in a command line: in double quotes when it has a space."""
    return f'"{path}"' if " " in str(path) else str(path)


def _is_seen(one: str) -> bool:
    return one in _HARMLESS or unicodedata.category(one) not in _UNSEEN


def _written_out(one: str) -> str:
    number = ord(one)
    if number <= 0xFF:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number <= 0xFFFF else f"\\U{number:08x}"
