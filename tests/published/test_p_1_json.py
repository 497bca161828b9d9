"""P-1: RFC 8259 sections 4, 6 and 8.1 (section 6 read in stored sources; 4 and 8.1 from memory).

Section 6: "Infinity and NaN ... are not permitted", whole numbers are exact up to 2^53 - 1 (errata
7617). Section 4: names should be unique. Section 8.1: UTF-8 without a byte order mark. Python's
reader takes all of these, and ends in RecursionError or ValueError on some texts; a feed refuses
them or leaves the value out, and goes on.
"""

from __future__ import annotations

import pytest

from panelbridge.feeds.formats.format import Refused
from tests.feeds.formats.making import a_format


@pytest.mark.parametrize(
    "value",
    ["NaN", "Infinity", "-Infinity", "1e400", "-1e400", r'"\ud800"', "9007199254740993"],
)
def test_what_is_not_permitted_is_unknown(value: str) -> None:
    form = a_format(["vg", "ok"], "json")
    assert form.decode(f'{{"vg": {value}, "ok": 2}}'.encode()) == {"ok": 2}


def test_the_greatest_exact_whole_numbers_are_kept() -> None:
    form = a_format(["a", "b"], "json")
    found = form.decode(b'{"a": 9007199254740991, "b": -9007199254740991}')
    assert found == {"a": 2**53 - 1, "b": -(2**53) + 1}


@pytest.mark.parametrize(
    "text",
    [
        '{"vg": 1, "vg": 2}',
        "[1,]",
        "01",
        '\ufeff{"vg": 1}',
        "[" * 100_000,
        "9" * 5000,
        '{"vg": .5}',
        "{'vg': 1}",
        '{"vg": +1}',
    ],
)
def test_what_is_no_json_is_refused_and_the_next_message_is_read(text: str) -> None:
    form = a_format(["vg"], "json")
    with pytest.raises(Refused):
        form.decode(text.encode())
    assert form.decode(b'{"vg": 3}') == {"vg": 3}
