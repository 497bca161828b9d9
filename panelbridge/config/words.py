"""Small helpers for messages that people read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from panelbridge.config.guessed_words import meant_by

MAX_HINTS = 200
"""For no more names than these the one that was meant is looked for."""
MAX_SHOWN = 40
"""Longest piece of the user's own text that a message repeats, characters."""


def quoted(text: object) -> str:
    """``text`` in single quotes on one line, cut when it is long."""
    shown = str(text)
    shown = "".join(c if c.isprintable() else "?" for c in shown)
    if len(shown) > MAX_SHOWN:
        shown = shown[: MAX_SHOWN - 3] + "..."
    return f"'{shown}'"


def named_board(name: str) -> str:
    """``board pedestal``; a board that is called ``board`` needs no second word."""
    return name if name.startswith("board") else f"board {name}"


def listed(names: Iterable[object], last: str = "or") -> str:
    """``a``, ``a or b``, ``a, b or c``."""
    words = [str(name) for name in names]
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def guessed(name: str, names: Sequence[str]) -> list[str]:
    """Those of ``names`` that a person who writes ``name`` may mean."""
    return [word for word in meant_by(_folded(name[:200])) if word in names]


def nearest(name: str, names: Sequence[str]) -> str | None:
    """The one of ``names`` that ``name`` means or looks like, or that is a word of it."""
    meant = guessed(name, names)
    if meant:
        return meant[0]
    folded = {_folded(n): n for n in names}
    wanted = _folded(name[:200])
    turned = [n for f, n in folded.items() if sorted(f.split("_")) == sorted(wanted.split("_"))]
    if turned:
        return turned[0]
    close = get_close_matches(wanted, folded, n=1, cutoff=0.6)
    if close:
        return folded[close[0]]
    words = [word for word in wanted.split("_") if len(word) > 2]
    return next((n for f, n in folded.items() for w in words if f.startswith(w)), None)


def _folded(name: str) -> str:
    return name.casefold().replace("-", "_").replace(" ", "_")


def did_you_mean(name: str, names: Sequence[str]) -> str:
    """``Did you mean 'x'?``, or nothing when no name is like it."""
    close = guessed(name, names) or [word for word in (nearest(name, names),) if word]
    return f"Did you mean {listed(quoted(word) for word in close)}?" if close else ""


def choices_hint(name: str, names: Sequence[str]) -> str:
    """What was meant, if a name is like it; then all that it can be."""
    return f"{did_you_mean(name, names)} It can be {listed(names)}".strip()


def counted(count: int, one: str, many: str = "") -> str:
    """``1 lamp``, ``2 lamps``; ``many`` for words that do not just take an s."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def pin_runs(names: Sequence[str]) -> list[str]:
    """Numbered names, those in a row by their ends: ``D2 to D13``, ``D44``."""
    rows: list[list[str]] = []
    for name in names:
        before = rows[-1][-1] if rows else ""
        letters = name.rstrip("0123456789")
        number = name.removeprefix(letters)
        if number and before == f"{letters}{int(number) - 1}":
            rows[-1].append(name)
        else:
            rows.append([name])
    return [row[0] if len(row) == 1 else f"{row[0]} to {row[-1]}" for row in rows]


def runs(names: Sequence[str], last: str = "or") -> str:
    """The same in words: ``D2 to D13 or D44``."""
    return listed(pin_runs(names), last)
