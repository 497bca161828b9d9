"""Texts broken into lines."""

from __future__ import annotations

from rich.cells import set_cell_size

from panelbridge.dashboard.text.lines import cell_len, clean, fit


def wrap(text: str, width: int) -> list[str]:
    """``text`` broken at spaces into lines of at most ``width`` cells; never an empty list."""
    lines: list[str] = []
    for part in text.splitlines() or [""]:
        line = ""
        for word in clean(part).split():
            joined = f"{line} {word}" if line else word
            if cell_len(joined) <= width:
                line = joined
                continue
            if line:
                lines.append(line)
            line = word
            while cell_len(line) > width > 0:  # a word that is longer than the line
                head = set_cell_size(line, width).rstrip() or line[:1]
                lines.append(head)
                line = line[len(head) :]
        lines.append(line)
    return lines


def wrap_at_most(text: str, width: int, most: int) -> list[str]:
    """``text`` wrapped into at most ``most`` lines; the last one ends in an ellipsis if cut."""
    lines = wrap(text, width)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], fit(" ".join(lines[most - 1 :]), width)]
