"""Names, JSON, binary layouts, records and topics: what is read, refused and left out."""

from __future__ import annotations

import json
import struct

import pytest

from panelbridge.feeds.formats.format import Format, Refused
from tests.feeds.formats.making import a_format


def refusal(form: Format, data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        form.decode(data)
    return caught.value.reason


@pytest.mark.parametrize(
    ("keys", "data"),
    [
        ({}, b"vc=140.2\nnote=x\n gear = down \n"),
        ({}, b"vc=140.2\r\ngear=down\r\n"),
        ({"between": ";"}, b"vc=140.2;gear=down;"),
        ({"between": " "}, b" vc=140.2  gear=down"),
        ({"equals": ":"}, b"vc: 140.2\ngear: down"),
        ({"equals": " "}, b"vc   140.2\ngear\tdown"),
        ({"equals": " = "}, b"vc = 140.2\ngear = down\na line without a value"),
    ],
)
def test_names_are_read(keys: dict[str, str], data: bytes) -> None:
    form = a_format(["vc", "gear"], "names", **keys)
    assert form.decode(data) == {"vc": 140.2, "gear": "down"}
    assert form.skipped == {}


def test_a_message_may_hold_any_of_the_names() -> None:
    form = a_format(["vc", "gear"], "names")
    assert form.decode(b"vc=1") == {"vc": 1.0}
    assert form.decode(b"other=1") == {}
    assert form.skipped == {}


def test_a_name_that_stands_twice_has_no_value() -> None:
    form = a_format(["vc", "gear"], "names")
    assert form.decode(b"vc=1\nvc=2\ngear=1\nvc=3") == {"gear": 1.0}
    assert form.skipped == {"vc: twice in one message": 2}
    assert form.decode(b"vc=\nvc=2") == {}


def test_names_without_values_are_refused() -> None:
    form = a_format(["vc"], "names")
    assert refusal(form, b"hello\nworld") == "no name and value"
    assert refusal(form, b"vc=\xff") == "not UTF-8 text"
    assert form.decode(b"vc=nan") == {}
    assert form.skipped == {"vc: not a finite number": 1}


TREE = {"air": {"vg": 100.5, "a/b.c": 1}, "engines": [{"n1": 88.0}, {"n1": 87.5}], "on": True}


def test_json_is_walked() -> None:
    fields = [("air", "vg"), ("air", "a/b.c"), ("engines", 1, "n1"), "on", ("on",)]
    form = a_format(fields, "json")
    found = form.decode(json.dumps(TREE).encode() + b"\r\n\0")
    assert list(found.values()) == [100.5, 1, 87.5, True, True]
    assert set(found) == set(fields)


def test_a_list_as_a_way_is_a_tuple_in_what_is_found() -> None:
    form = a_format([["air", "vg"]], "json")
    assert form.decode(b'{"air": {"vg": 2}}') == {("air", "vg"): 2}


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ("null", "null"),
        ("[1]", "a group, not a value"),
        ("{}", "a group, not a value"),
        ("NaN", "not a finite number"),
        ("-Infinity", "not a finite number"),
        ("1e400", "not a finite number"),
        ("9007199254740992", "too great a number"),
        ("-1" + "0" * 400, "too great a number"),
        (r'"\ud800"', "half a character"),
        (f'"{"x" * 201}"', "too long a text"),
    ],
)
def test_a_json_value_that_is_none_is_unknown_and_counted(value: str, reason: str) -> None:
    form = a_format(["vg", "ok"], "json")
    assert form.decode(f'{{"vg": {value}, "ok": 1}}'.encode()) == {"ok": 1}
    assert form.skipped == {f"vg: {reason}": 1}


@pytest.mark.parametrize("tree", ["{}", "[]", '"vg"', "1", '{"vg": {}}', '{"vg": ["a"]}', "null"])
def test_a_way_that_leads_nowhere_is_unknown(tree: str) -> None:
    form = a_format([("vg", 0, "x"), ("vg", -1)], "json")
    assert form.decode(tree.encode()) == {}
    assert form.skipped == {"vg.0.x: not there": 1, "vg.-1: not there": 1}


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b'{"a": 1, "a": 2}', "a name twice in one object"),
        (b'{"x": {"a": 1, "a": 2}}', "a name twice in one object"),
        (b"[1,]", "not valid JSON"),
        (b"01", "not valid JSON"),
        (b"\xef\xbb\xbf{}", "not valid JSON"),
        (b"", "not valid JSON"),
        (b'{"a": 1} {"a": 2}', "not valid JSON"),
        (b"1" * 5000, "not valid JSON"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"a":' * 100_000, "nested too deeply"),
        (b'{"a": "\xff"}', "not UTF-8 text"),
    ],
)
def test_json_is_refused_as_a_whole(data: bytes, reason: str) -> None:
    assert refusal(a_format(["a"], "json"), data) == reason


FIELDS = [
    {"name": "vc", "type": "float32"},
    {"name": "flags", "type": "uint8"},
    {"name": "wow", "type": "uint8", "count": 3},
    {"name": "nose", "type": "uint8", "at_byte": 8, "bit": 0},
    {"name": "left", "type": "uint8", "at_byte": 8, "bit": 7},
    {"name": "time", "type": "int64", "at_byte": 12},
]


def test_a_binary_layout_is_read() -> None:
    fields = ["vc", "flags", ("wow", 2), "nose", "left", "time", ("wow", 3), "other"]
    form = a_format(fields, "binary", order="big", starts_with="PNL1", fields=FIELDS)
    message = struct.pack(">4sfB3Bq", b"PNL1", 140.5, 0x81, 7, 8, 9, -5)
    found = form.decode(message)
    assert found == {
        "vc": 140.5,
        "flags": 0x81,
        ("wow", 2): 9,
        "nose": True,
        "left": True,
        "time": -5,
    }
    assert refusal(form, message[:-1]) == "wrong length"
    assert refusal(form, message + b"\0") == "wrong length"
    assert refusal(form, b"X" + message[1:]) == "wrong start"


def test_a_binary_number_that_is_none_is_unknown() -> None:
    form = a_format(
        ["a", "b"],
        "binary",
        order="little",
        fields=[{"name": "a", "type": "float32"}, {"name": "b", "type": "float64"}],
    )
    assert form.decode(struct.pack("<fd", float("nan"), 2.0)) == {"b": 2.0}
    assert form.decode(struct.pack("<fd", 1.0, float("-inf"))) == {"a": 1.0}
    assert form.skipped == {"a: not a finite number": 1, "b: not a finite number": 1}


@pytest.mark.parametrize(
    ("kind", "body", "check"),
    [
        ("crc16_ccitt", b"123456789", b"\x29\xb1"),  # check value of the catalogue: H-1
        ("xor8", b"123456789", b"\x31"),
        ("sum8", b"123456789", b"\xdd"),
    ],
)
def test_a_binary_checksum(kind: str, body: bytes, check: bytes) -> None:
    fields = [{"name": "a", "type": "uint8", "count": 9}]
    form = a_format([("a", 8)], "binary", order="big", checksum=kind, fields=fields)
    assert form.decode(body + check) == {("a", 8): 0x39}
    for place in range(len(body + check)):
        damaged = bytearray(body + check)
        damaged[place] ^= 0x10
        assert refusal(form, bytes(damaged)) == "wrong checksum"


RECORDS = {"order": "little", "starts_with": "DATA", "header_bytes": 5, "id": "int32"}
RECORDS |= {"values": 8, "type": "float32"}


def records(*numbers: int) -> bytes:
    return b"DATA\0" + b"".join(struct.pack("<i8f", n, *range(n, n + 8)) for n in numbers)


def test_records_are_read_in_any_order() -> None:
    form = a_format([(3, 0), (20, 7), (4, 0), (3, 8)], "records", **RECORDS)
    assert form.decode(records(20, 3)) == {(20, 7): 27.0, (3, 0): 3.0}
    assert form.decode(records()) == {}
    assert form.skipped == {}
    assert refusal(form, records(3)[:-1]) == "wrong length"
    assert refusal(form, b"DAT") == "wrong length"
    assert refusal(form, b"x" + records(3)[1:]) == "wrong start"
    assert refusal(form, records(3, 4, 3)) == "a record twice"


def test_a_fixed_number_of_records() -> None:
    form = a_format([(3, 0)], "records", **RECORDS, records=2)
    assert form.decode(records(3, 4)) == {(3, 0): 3.0}
    assert refusal(form, records(3)) == "wrong length"


def test_a_topic_has_a_value() -> None:
    form = a_format(["sim/vg", "sim/gear"], "topics")
    assert form.decode(b"100.5", "sim/vg") == {"sim/vg": 100.5}
    assert form.decode(b" down\n", "sim/gear") == {"sim/gear": "down"}
    assert form.decode(b"1", "sim/other") == {}
    assert form.decode(b"", "sim/vg") == {}
    assert form.decode(b"inf", "sim/vg") == {}
    assert form.skipped == {"sim/vg: empty": 1, "sim/vg: not a finite number": 1}
    with pytest.raises(Refused):
        form.decode(b"\xff", "sim/vg")
