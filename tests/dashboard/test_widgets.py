"""What the widgets paint: a terminal that gets the changed cells alone shows every line whole."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import example, given
from hypothesis import strategies as st

from panelbridge.dashboard.text.lines import ClickTarget, Line, TextSpan, TextStyle, row
from panelbridge.dashboard.widgets import _changed_region

WIDTH = 6
SPANS = st.builds(
    TextSpan,
    st.text("ab ", max_size=3),
    st.sampled_from([TextStyle.TEXT, TextStyle.GOOD]),
    st.sampled_from([None, ClickTarget("lamp_test")]),
)
LINES = st.lists(SPANS, max_size=5).map(lambda spans: row(spans, WIDTH))


def cells(line: Line) -> Sequence[tuple[str, TextStyle]]:
    return [(sign, span.style) for span in line for sign in span.text]


@given(before=LINES, line=LINES)
@example(row([TextSpan("ab"), TextSpan("")], WIDTH), row([TextSpan("ab")], WIDTH))
def test_what_is_outside_the_painted_cells_is_as_before(before: Line, line: Line) -> None:
    region = _changed_region(4, before, line)
    assert (region.y, region.height) == (4, 1)
    assert 0 <= region.x <= region.right <= WIDTH
    painted = [*cells(before)[: region.x], *cells(line)[region.x : region.right]]
    assert [*painted, *cells(before)[region.right :]] == cells(line)


def test_a_number_that_changes_paints_itself_alone() -> None:
    def line(number: str) -> Line:
        return (TextSpan("airspeed "), TextSpan(number, TextStyle.STRONG), TextSpan(" kt"))

    assert _changed_region(0, line("128"), line("131"))[:3] == (9, 0, 3)


def test_a_line_of_another_width_is_painted_whole() -> None:
    short, long = (TextSpan("ab"),), (TextSpan("ab"), TextSpan("c"))
    for before, line in ((short, long), (long, short)):
        region = _changed_region(0, before, line)
        assert (region.x, region.width) == (0, 3)
