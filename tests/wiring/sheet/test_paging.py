"""Paging: what does not fit goes on, everything once and in its order."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from panelbridge.wiring.sheet.drawing.blocks import PinBlock, PinRow
from panelbridge.wiring.sheet.drawing.page import A4_MM, MARGIN_MM, SheetPage
from panelbridge.wiring.sheet.drawing.paging import Paragraph, lay_out
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.drawing.text_width import text_width, wrap
from tests.examples import examples

_STRIPS = st.sampled_from([None, Strip("contact"), Strip("lever", supply="5V"), Strip("servo")])


def _side(strips: list[Strip | None], prefix: str) -> tuple[PinRow, ...]:
    """A heading before each tenth pin."""
    rows: list[PinRow] = []
    for number, strip in enumerate(strips):
        if number % 10 == 0:
            rows.append(PinRow(f"{prefix}-head-{number}", heading=True))
        rows.append(PinRow(f"{prefix}{number}", strip=strip, name=f"part {prefix}{number}"))
    return tuple(rows)


def _labels(page: SheetPage, prefix: str) -> list[str]:
    return [text.text for text in page.texts if text.text.startswith(prefix)]


@example([[Strip("contact")] * 90, [Strip("lever"), None] * 40])
@given(st.lists(st.lists(_STRIPS, max_size=90), min_size=2, max_size=4))
@settings(max_examples=examples(60))
def test_every_pin_of_a_long_block_is_drawn_once_and_in_order(
    columns: list[list[Strip | None]],
) -> None:
    pieces = [
        PinBlock(f"block {number}", "", _side(column, f"L{number}."), _side(column, f"R{number}."))
        for number, column in enumerate(columns)
    ]
    pages = lay_out([*pieces, Paragraph("end", ("the last",))])
    for number, column in enumerate(columns):
        for side in ("L", "R"):
            prefix = f"{side}{number}."
            rows = [row.label for row in _side(column, prefix)]
            assert [label for page in pages for label in _labels(page, prefix)] == rows
            # A heading is never the last of its side on a page: it would stand over nothing.
            for page in pages:
                assert not _labels(page, prefix)[-1:] or "head" not in _labels(page, prefix)[-1]
    assert all(page.texts for page in pages)
    lowest = max(text.box.bottom for page in pages for text in page.texts)
    assert lowest < A4_MM[1] - MARGIN_MM


def test_a_small_block_is_not_divided() -> None:
    block = PinBlock("chip", "", _side([Strip("contact")] * 8, "L"), ())
    pages = lay_out([block] * 4)
    counts = [len([label for label in _labels(page, "L") if "head" not in label]) for page in pages]
    assert all(count % 8 == 0 for count in counts)
    assert sum(counts) == 32


@given(
    st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Zs")), max_size=120),
    st.floats(8.0, 60.0),
)
def test_wrapped_lines_fit_and_lose_no_letter(text: str, width: float) -> None:
    lines = wrap(text, width, 2.5)
    assert all(text_width(line, 2.5) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())
