"""Small helpers for messages that people read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

MAX_SHOWN = 40
"""Longest piece of the user's own text that a message repeats, characters."""


def quoted(text: object) -> str:
    """``text`` in single quotes on one line, cut when it is long."""
    shown = str(text)
    shown = "".join(c if c.isprintable() else "?" for c in shown)
    if len(shown) > MAX_SHOWN:
        shown = shown[: MAX_SHOWN - 3] + "..."
    return f"'{shown}'"


def listed(names: Iterable[object], last: str = "or") -> str:
    """``a``, ``a or b``, ``a, b or c``."""
    words = [str(name) for name in names]
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def nearest(name: str, names: Sequence[str]) -> str | None:
    """The one of ``names`` that ``name`` looks like, if there is one."""
    folded = {n.casefold().replace("-", "_").replace(" ", "_"): n for n in names}
    wanted = name[:200].casefold().replace("-", "_").replace(" ", "_")
    close = get_close_matches(wanted, folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def did_you_mean(name: str, names: Sequence[str]) -> str:
    """``Did you mean 'x'?``, or nothing when no name is like it."""
    close = nearest(name, names)
    return f"Did you mean {quoted(close)}?" if close else ""


def counted(count: int, one: str, many: str = "") -> str:
    """``1 lamp``, ``2 lamps``; ``many`` for words that do not just take an s."""
    return f"{count} {one if count == 1 else many or one + 's'}"
