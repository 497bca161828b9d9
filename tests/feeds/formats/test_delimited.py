"""Text in columns: what is read, what is refused, what is left out."""

from __future__ import annotations

import pytest

from panelbridge.feeds.formats.format import Format, Refused
from tests.feeds.formats.making import a_format

COLUMNS = ["time_s", "vc", "wow", "gear"]


def a_table(**keys: object) -> Format:
    return a_format(["vc", "gear"], "delimited", **{"columns": COLUMNS, **keys})


def refusal(form: Format, data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        form.decode(data)
    return caught.value.reason


@pytest.mark.parametrize(
    ("data", "keys", "found"),
    [
        (b"1.0,140.2,0,down\r\n", {}, {"vc": 140.2, "gear": "down"}),
        (b"  1.0 ,  140.2 ,  0 ,  -1e-3 \n", {}, {"vc": 140.2, "gear": -0.001}),
        (b"1.0,140.2,0,1\n\0\0", {}, {"vc": 140.2, "gear": 1.0}),
        (b"1.0;140.2;0;1", {"separator": ";"}, {"vc": 140.2, "gear": 1.0}),
        (b"1.0\t140.2\t0\t1", {"separator": "\t"}, {"vc": 140.2, "gear": 1.0}),
        (b"  1.0  140.2\t0   1 ", {"separator": " "}, {"vc": 140.2, "gear": 1.0}),
        (b"1.0||140.2||0||1", {"separator": "||"}, {"vc": 140.2, "gear": 1.0}),
        (b'1.0,"140.2","a,b","do""wn"', {}, {"vc": 140.2, "gear": 'do"wn'}),
        (b"<LABELS>,x,y", {"skip": ["<LABELS>", "#"]}, {}),
        (b"# 1.0,140.2,0,1", {"skip": ["<LABELS>", "#"]}, {}),
        (b"other,2,3,4", {"only": "gear,"}, {}),
        (b"gear,140.2,3,4", {"only": "gear,"}, {"vc": 140.2, "gear": 4.0}),
    ],
)
def test_columns_are_read(data: bytes, keys: dict[str, object], found: dict[str, object]) -> None:
    form = a_table(**keys)
    assert form.decode(data) == found
    assert form.skipped == {}


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"1.0,140.2,0", "wrong column count"),
        (b"1.0,140.2,0,1,", "wrong column count"),
        (b"1.0,140.2,0,1,5", "wrong column count"),
        (b"1.0,140.2,0,1\n1.1,140.3,0,1", "more than one line"),
        (b'1.0,140.2,0,"1\n2', "broken quotes"),
        (b'1.0,140.2,0,"1"x', "broken quotes"),
        (b'1.0,"140.2",0,1\n1.1,"140.3",0,1', "more than one line"),
        (b"1.0,140.2,0,\xff", "not UTF-8 text"),
        (b"", "empty message"),
        (b"\r\n\0", "empty message"),
    ],
)
def test_a_message_is_refused_as_a_whole(data: bytes, reason: str) -> None:
    assert refusal(a_table(), data) == reason


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("nan", "not a finite number"),
        ("-inf", "not a finite number"),
        ("1e999", "not a finite number"),
        ("", "empty"),
        ("   ", "empty"),
        ("x" * 201, "too long a text"),
        ("9" * 199 + "١٢", "too long a text"),
    ],
)
def test_a_value_that_is_none_is_unknown_and_counted(text: str, reason: str) -> None:
    form = a_table()
    for _ in range(3):
        assert form.decode(f"1.0,{text},0,1".encode()) == {"gear": 1.0}
    assert form.skipped == {f"vc: {reason}": 3}


@pytest.mark.parametrize("text", ["1_0", "١٢", "0x10", "1,5".replace(",", ";"), "12kt"])
def test_only_plain_digits_make_a_number(text: str) -> None:
    assert a_table().decode(f"1.0,{text},0,1".encode()) == {"vc": text, "gear": 1.0}


def test_a_column_is_read_by_its_number_too() -> None:
    form = a_format([1, 9], "delimited", columns=COLUMNS)
    assert form.decode(b"1.0,140.2,0,1") == {1: 140.2}


def test_nothing_is_read_before_the_columns_are_announced() -> None:
    form = a_format(["vc"], "delimited", announced_by="<LABELS> ,")
    assert refusal(form, b"1.0,140.2,0,1") == "columns not announced yet"
    assert form.decode(b"<LABELS> , Time , vc , wow") == {}
    assert form.decode(b"1.0,140.2,0") == {"vc": 140.2}
    assert refusal(form, b"1.0,140.2,0,1") == "wrong column count"
    assert form.decode(b"<LABELS> ,vc,Time") == {}
    assert form.decode(b"140.3,1.1") == {"vc": 140.3}


def test_an_announcement_may_begin_with_the_first_name() -> None:
    form = a_format(["vc", "time"], "delimited", announced_by="time")
    assert form.decode(b"time,vc\r\n") == {}
    assert form.decode(b"1.0,140.2") == {"time": 1.0, "vc": 140.2}


def test_a_name_that_is_announced_twice_or_never_is_unknown() -> None:
    form = a_format(["wow", "vc", "n1"], "delimited", announced_by="time")
    form.decode(b"time,wow,wow,vc")
    assert form.decode(b"1.0,0,1,140.2") == {"vc": 140.2}
    assert form.skipped == {"wow: announced twice": 1, "n1: not announced": 1}


def test_too_many_columns_are_not_taken() -> None:
    form = a_format(["vc"], "delimited", announced_by="vc")
    assert refusal(form, b"vc" + b",x" * 1000) == "too many columns"


def test_a_sentence_needs_its_checksum() -> None:
    form = a_format(["gear"], "delimited", columns=["PGEAR", "gear"], checksum="xor")
    assert form.decode(b"$PGEAR,1*5C\r\n") == {"gear": 1.0}
    assert form.decode(b"!PGEAR,1*5C") == {"gear": 1.0}
    assert refusal(form, b"$PGEAR,2*5C") == "wrong checksum"
    for data in (b"$PGEAR,1", b"PGEAR,1*5C", b"$PGEAR,1*5", b"$PGEAR,1*05C", b"$PGEAR,1*_1"):
        assert refusal(form, data) == "no checksum", data
