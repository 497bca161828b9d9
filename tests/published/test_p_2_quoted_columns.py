"""P-2: RFC 4180, from memory: quotes, doubled quotes, line ends in quotes, equal field counts."""

from __future__ import annotations

import csv
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.feeds.formats.format import Refused
from tests.feeds.formats.making import a_format

COLUMNS = ["a", "b", "c", "d"]


def test_the_example() -> None:
    form = a_format(COLUMNS, "delimited", columns=COLUMNS)
    found = form.decode(b'"a,b","c""d","e\nf",\r\n')
    assert found == {"a": "a,b", "b": 'c"d', "c": "e\nf"}  # the empty one is unknown


def test_another_number_of_fields_is_refused() -> None:
    form = a_format(COLUMNS, "delimited", columns=COLUMNS)
    for line in (b'"a,b",c,d\r\n', b'"a","b","c","d","e"\r\n'):
        with pytest.raises(Refused, match="columns"):
            form.decode(line)


@given(st.lists(st.text(st.characters(exclude_categories=["C", "Z"])), min_size=4, max_size=4))
def test_whatever_a_writer_of_the_standard_library_writes_is_read(words: list[str]) -> None:
    text = StringIO(newline="")
    csv.writer(text, quoting=csv.QUOTE_ALL).writerow(["x" + word for word in words])
    form = a_format(COLUMNS, "delimited", columns=COLUMNS)
    found = form.decode(text.getvalue().encode())
    assert found == {name: "x" + word for name, word in zip(COLUMNS, words, strict=True)}
