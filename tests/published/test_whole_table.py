"""The table of README.md: every row of the sources, with files that exist or a reason."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
TEXT = (HERE / "README.md").read_text(encoding="utf-8")
COUNTS = {"A": 28, "B": 8, "C": 5, "D": 13, "E": 8}
ROWS = [f"{group}-{number}" for group, count in COUNTS.items() for number in range(1, count + 1)]
ROW = re.compile(r"^\| ([A-E]-(?:\d+|T)) \| (.*) \| (.*) \| (.*) \|$", re.MULTILINE)
FILE = re.compile(r"`([\w./]+\.py)`")


def test_every_row_stands_in_the_table_once_and_in_order() -> None:
    found = [name for name, *_ in ROW.findall(TEXT)]
    assert found == [*ROWS[:28], "A-T", *ROWS[28:]]


@pytest.mark.parametrize("row", ROW.findall(TEXT), ids=lambda row: str(row[0]))
def test_a_row_names_tests_that_name_it_or_a_reason(row: tuple[str, ...]) -> None:
    name, check, source, where = row
    files = FILE.findall(where)
    assert check
    assert source
    if not files:
        assert where.startswith("left out: ")
        assert len(where) > len("left out: ") + 15, "a reason"
        return
    assert not where.startswith("left out")
    texts = [(HERE / file).read_text(encoding="utf-8") for file in files]
    assert all("def test_" in text for text in texts)
    numbers = re.findall(r"\d+\.\d+|TM [\d-]+|P-307|NPRM|\bch\. \d+|WCAG|STD-\d+|14018", source)
    assert not numbers or any(number in text for number in numbers for text in texts), name


def test_every_file_that_is_named_exists_and_every_file_is_named() -> None:
    named = {(HERE / file).resolve() for file in FILE.findall(TEXT)}
    assert [file for file in named if not file.is_file()] == []
    there = {file.resolve() for file in HERE.glob("test_*.py")}
    assert there - named - {Path(__file__).resolve()} == set()
