"""Of a section with several parts only the one that is shown is drawn."""

from __future__ import annotations

import pytest

from panelbridge.dashboard.pages.lazy_parts import LazyParts, parts_of
from panelbridge.dashboard.text.lines import Line, TextSpan


def line(text: str) -> Line:
    return (TextSpan(text),)


def test_a_part_is_drawn_when_it_is_looked_at() -> None:
    drawn: list[int] = []

    def draw(at: int) -> list[Line]:
        drawn.append(at)
        return [line(str(at))]

    parts = LazyParts(3, 1, draw)
    assert len(parts) == 3
    assert drawn == []
    assert parts[1] == [line("1")]
    assert drawn == [1]
    assert parts[-1] == [line("2")]
    assert [one[0][0].text for one in parts] == ["0", "1", "2"]
    assert [one[0][0].text for one in parts[1:]] == ["1", "2"]
    with pytest.raises(IndexError):
        parts[3]


def test_parts_that_are_there_know_the_longest() -> None:
    parts = parts_of([[line("a")], [line("b"), line("c")]])
    assert (len(parts), parts.rows) == (2, 2)
    assert parts[0] == [line("a")]
