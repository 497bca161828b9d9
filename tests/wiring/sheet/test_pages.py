"""The printable page and the tables: whole, self-contained, with the errors at the top."""

from __future__ import annotations

import csv
import io
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.config.panel_file import PanelFile
from panelbridge.wiring.electrics.check import findings
from panelbridge.wiring.electrics.findings.finding import FindingLevel
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.board_sheet import sheet_files
from panelbridge.wiring.sheet.pages.html_page import html_page
from panelbridge.wiring.sheet.pages.tables import TextTable, current_table, parts_table, pin_table
from panelbridge.wiring.sheet.problems import STOP
from panelbridge.wiring.sheet.wires import wires_of
from tests.examples import examples
from tests.wiring.sheet.panels import SHIPPED, panel_files, shipped

_VOID = {"meta", "br", "wbr", "link", "img", "input", "hr"}


class _Page(HTMLParser):
    """What a browser would load, and whether every element is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.loads: list[str] = []
        self.tags: list[str] = []
        self.written = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag not in _VOID:
            self.open.append(tag)
        loading = {"src", "href", "xlink:href", "srcset", "data", "action", "poster"}
        self.loads += [f"{tag} {name}={value}" for name, value in attrs if name in loading]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.written += data


def _check_alone(text: str) -> _Page:
    page = _Page(text)
    assert page.open == []
    assert page.loads == []
    assert not {"script", "link", "img", "iframe", "object", "embed"} & set(page.tags)
    outside = re.findall(r"url\(|@import|https?://[^\"]*", text)
    assert set(outside) <= {"http://www.w3.org/2000/svg"}
    return page


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_page_refers_to_nothing_outside_and_has_everything(path: Path) -> None:
    wired = shipped(path)
    page = _check_alone(html_page(wired))
    boxes = len(wires_of(wired)) + len(parts_table(wired).rows)
    assert page.tags.count("i") == boxes  # paper boxes, one a wire and one a part
    assert page.tags.count("svg") == len(list(sheet_files(wired)))
    for part in wired.parts:
        assert part.name in page.written
    for line in current_table(wired).rows:
        assert line[0] in page.written
        assert line[-1] in page.written
    for one in findings(wired):
        if one.level is not FindingLevel.NOTE:
            assert one.what[1:] in page.written


@given(panel_files(most=20))
@settings(max_examples=examples(25))
def test_a_generated_panels_page_is_well_formed(panel: PanelFile) -> None:
    wired = wired_panel(panel)
    text = html_page(wired)
    assert _check_alone(text).tags.count("i") == len(wires_of(wired)) + len(parts_table(wired).rows)
    assert text == html_page(wired_panel(panel.model_copy(deep=True)))


def _overloaded() -> WiredPanel:
    """29 LEDs of 20 mA on one board, and a coil at a pin."""
    lamps: dict[str, Any] = {
        f"lamp_{n}": {"board": "main", "pin": f"D{n}", "colour": "red", "current_ma": 20.0}
        for n in range(22, 51)
    }
    coil = {"board": "main", "pin": "D4", "driver": "none"}
    return wired_panel(
        PanelFile.model_validate(
            {
                "kind": "panel",
                "format": 2,
                "name": "Too much",
                "aircraft": "a.yaml",
                "boards": {"main": {"board": "mega2560"}},
                "lamps": lamps,
                "solenoids": {"handle_lock": coil},
            }
        )
    )


def test_errors_stand_before_everything_else() -> None:
    wired = _overloaded()
    page = html_page(wired)
    first = page.index(f"<h3>{STOP}</h3>")
    assert first < page.index("<h2>")
    assert "is a coil at a pin" in page[first : page.index("<h2>")]
    drawn = [svg for _, svg in sheet_files(wired)]
    assert STOP in drawn[0]
    assert "beyond" in page


def test_a_page_without_errors_does_not_say_stop() -> None:
    for path in SHIPPED:
        assert STOP not in html_page(shipped(path)), path.name


def test_words_of_a_file_are_texts_and_never_markup() -> None:
    wired = wired_panel(
        PanelFile.model_validate(
            {
                "kind": "panel",
                "format": 2,
                "name": "<script>alert(1)</script>",
                "aircraft": "a.yaml",
                "boards": {"main": {"board": "uno"}},
                "lamps": {
                    "nose_green": {
                        "board": "main",
                        "pin": "D9",
                        "colour": "green",
                        "legend": "</text><script>",
                    }
                },
            }
        )
    )
    page = _check_alone(html_page(wired))
    assert "</text><script>" in page.written


def _rows(table: TextTable) -> list[list[str]]:
    return list(csv.reader(io.StringIO(table.csv())))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_tables_can_be_read_back(path: Path) -> None:
    wired = shipped(path)
    for table in (pin_table(wired), current_table(wired), parts_table(wired)):
        rows = _rows(table)
        assert rows[0] == list(table.columns)
        assert [tuple(row) for row in rows[1:]] == list(table.rows)
        lines = table.markdown().splitlines()
        assert len(lines) == 2 + 2 + len(table.rows)
        assert {len(re.findall(r"(?<!\\)\|", line)) for line in lines[2:]} == {
            len(table.columns) + 1
        }


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=20))
def test_no_cell_is_a_formula(text: str) -> None:
    row = _rows(TextTable("x", "X", ("a", "b"), (("1", text),)))[1]
    assert not row[1].startswith(("=", "+", "-", "@"))
    assert row[1].removeprefix("'") == text.removeprefix("'")


def test_a_cell_cannot_break_a_table_of_markdown() -> None:
    text = TextTable("x", "X", ("a",), (("1|2 <b> \\|",),)).markdown()
    assert text.splitlines()[-1] == "| 1\\|2 &lt;b> \\\\\\| |"
