"""Drawn sheets: well-formed, complete, inside A4, and nothing written over something else."""

from __future__ import annotations

import os
import subprocess
import sys
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from panelbridge.config.panel_file import PanelFile
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.board_sheet import board_pages, sheet_files
from panelbridge.wiring.sheet.drawing.page import A4_MM, MARGIN_MM, SheetPage, TextBox
from tests.examples import examples
from tests.wiring.sheet.panels import SHIPPED, panel_files, shipped

_SVG = "{http://www.w3.org/2000/svg}"
# A rounding of 0.01 mm is no overlap.
_TOLERANCE_MM = 0.02


def _pages(wired: WiredPanel) -> list[SheetPage]:
    return [page for board in wired.boards.values() for page in board_pages(wired, board)]


def _overlaps(page: SheetPage) -> list[tuple[str, str]]:
    """Texts over texts, and texts beside symbols over symbols."""
    texts = [(text.text, _smaller(text.box)) for text in (*page.texts, *page.notes)]
    beside = [(text.text, _smaller(text.box)) for text in page.texts]
    symbols = [("a symbol", _smaller(box)) for box in page.covered]
    found = [(one[0], two[0]) for one, two in combinations(texts, 2) if one[1].overlaps(two[1])]
    found += [(one[0], two[0]) for one in beside for two in symbols if one[1].overlaps(two[1])]
    found += [(one[0], two[0]) for one, two in combinations(symbols, 2) if one[1].overlaps(two[1])]
    return found


def _smaller(box: TextBox) -> TextBox:
    return TextBox(
        box.left + _TOLERANCE_MM,
        box.top + _TOLERANCE_MM,
        box.right - _TOLERANCE_MM,
        box.bottom - _TOLERANCE_MM,
    )


def _outside(page: SheetPage) -> list[str]:
    boxes = [(text.text, text.box) for text in (*page.texts, *page.notes)]
    boxes += [("a symbol", box) for box in page.covered]
    left, right = MARGIN_MM - _TOLERANCE_MM, A4_MM[0] - MARGIN_MM + _TOLERANCE_MM
    low, high = MARGIN_MM - _TOLERANCE_MM, A4_MM[1] - MARGIN_MM + _TOLERANCE_MM
    return [
        text
        for text, box in boxes
        if box.left < left or box.right > right or box.top < low or box.bottom > high
    ]


def _check(wired: WiredPanel) -> None:
    pages = _pages(wired)
    for page in pages:
        assert _overlaps(page) == []
        assert _outside(page) == []
    # A long name goes on in the next line.
    written = "".join(text.text for page in pages for text in page.texts)
    assert [part.name for part in wired.parts if part.name not in written] == []
    for _, svg in sheet_files(wired):
        root = ElementTree.fromstring(svg)
        assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
        assert root.get("viewBox") == "0 0 210 297"


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_panel_is_drawn_whole(path: Path) -> None:
    _check(shipped(path))


@given(panel_files())
@settings(max_examples=examples(60))
@pytest.mark.thorough
def test_a_generated_panel_is_drawn_whole(panel: PanelFile) -> None:
    _check(wired_panel(panel))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_each_name_stands_in_the_svg_of_its_own_board(path: Path) -> None:
    wired = shipped(path)
    files = dict(sheet_files(wired))
    for board in wired.boards.values():
        mine = [svg for name, svg in files.items() if name.partition("-")[0] == board.name]
        texts = " ".join(
            element.text or ""
            for svg in mine
            for element in ElementTree.fromstring(svg).iter(f"{_SVG}text")
        )
        for part in board.parts:
            assert part.name in texts
            assert part.legend in texts
            for pin in part.pins.values():
                assert (pin if "." not in pin else part.name) in texts


def test_the_same_panel_gives_the_same_bytes_in_another_process() -> None:
    path = SHIPPED[0]
    drawn = dict(sheet_files(shipped(path)))
    script = (
        "import sys; from pathlib import Path; from tests.wiring.sheet.panels import shipped;"
        "from panelbridge.wiring.sheet.board_sheet import sheet_files;"
        "sys.stdout.buffer.write(''.join(s for _, s in sheet_files(shipped(Path(sys.argv[1]))))"
        ".encode())"
    )
    root = Path(__file__).parents[3]
    environment = {**os.environ, "PYTHONHASHSEED": "4711", "PYTHONPATH": str(root)}
    done = subprocess.run(
        [sys.executable, "-c", script, str(path)],
        check=True, capture_output=True, cwd=root, env=environment,
    )  # fmt: skip
    assert done.stdout.decode() == "".join(drawn.values())


def test_a_date_stands_there_only_when_it_was_passed() -> None:
    wired = shipped(SHIPPED[0])
    assert all("2026" not in svg.split("<line")[0] for _, svg in sheet_files(wired))
    assert all("2026-11-30" in svg for _, svg in sheet_files(wired, "2026-11-30"))


def test_a_boards_name_never_leads_out_of_the_folder() -> None:
    base = {"kind": "panel", "format": 2, "name": "One", "aircraft": "a.yaml"}
    names = ["../up", "..\\up", "a-2", "A_2", "nul:", "\u00fc"]
    panel = PanelFile.model_validate({**base, "boards": {n: {"board": "uno"} for n in names}})
    files = [name for name, _ in sheet_files(wired_panel(panel))]
    assert files == ["___up", "___up_", "a_2", "A_2_", "nul_", "_"]
