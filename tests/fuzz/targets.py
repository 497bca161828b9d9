"""What of feeds is fuzzed: decoders and framings, good messages to spoil, and what they promise."""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from panelbridge.feeds.formats.format import Field, Format, Framing, Refused
from panelbridge.feeds.formats.framings import LONGEST_LINE
from panelbridge.feeds.formats.make import make_framing
from tests.feeds.formats.making import a_format, format_keys, transport_keys

MOST_REASONS = 12
"""Reasons for which a message or a field can be refused, at most: they are counted one by one."""


@dataclass(frozen=True)
class Decoder:
    """A format with messages that it can read.

    Attributes:
        name: for the table.
        fields: what is asked of it.
        form: its format.
        keys: its other keys.
        messages: good ones.
        topic: where they come from.
    """

    name: str
    fields: Sequence[Field]
    form: str
    keys: dict[str, Any]
    messages: Sequence[bytes]
    topic: str = ""

    def make(self) -> Format:
        """One that has read nothing yet."""
        return a_format(self.fields, self.form, **self.keys)

    def judge(self, made: Format, data: bytes) -> str:
        """Let it read ``data``: "read", "refused", or "passed over".

        Raises:
            AssertionError: it breaks a promise.
            Exception: anything that a decoder may not raise.
        """
        try:
            found = made.decode(data, self.topic)
        except Refused as error:
            refused = error.reason
        else:
            refused = ""
        if refused:
            assert len(refused) < 40, refused
            return "refused"
        for key, value in found.items():
            assert key in self.fields, key
            if isinstance(value, str):
                assert len(value) <= 200
                value.encode()
            else:
                assert isinstance(value, bool | int | float)
                assert math.isfinite(value)
                float(value)
        assert len(made.skipped) <= MOST_REASONS * len(self.fields), made.skipped
        return "read" if found else "passed over"


@dataclass(frozen=True)
class Stream:
    """A framing with a stream that it can cut up.

    Attributes:
        name: for the table.
        make: one that has read nothing yet.
        messages: what it finds in the stream.
        stream: the bytes.
        longest: most bytes that it may keep.
    """

    name: str
    make: Callable[[], Framing]
    messages: Sequence[bytes]
    stream: bytes
    longest: int = field(default=LONGEST_LINE + 40)

    def judge(self, data: bytes, cuts: Sequence[int]) -> str:
        """Let it cut ``data`` up, which comes in pieces, and then a good stream twice.

        Raises:
            AssertionError: it keeps too much, or does not find the messages again.
        """
        framing = self.make()
        found: list[bytes] = []
        places = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
        for start, end in pairwise(places):
            found += framing.feed(data[start:end])
            assert len(vars(framing)["_rest"]) <= self.longest
        assert sum(map(len, found)) <= len(data)
        assert len(framing.refused) <= MOST_REASONS
        # What was spoilt costs what is near it and nothing more.
        after = framing.feed(self.stream) + framing.feed(self.stream)
        assert after[-len(self.messages) :] == list(self.messages), (found, after)
        return "read" if found else "refused"


_COLUMNS = ["time_s", "vc", "wow", "gear"]
_FIELDS = [
    {"name": "vc", "type": "float32"},
    {"name": "wow", "type": "uint8", "count": 3},
    {"name": "nose", "type": "uint8", "at_byte": 8, "bit": 0},
    {"name": "time", "type": "float64", "at_byte": 10},
]
_BINARY = {"order": "little", "starts_with": "PNL1", "fields": _FIELDS}
_PACKED = struct.pack("<4sf3Bxxd", b"PNL1", 140.5, 0, 1, 1, 12.5)[:18]
_RECORDS = {"order": "big", "starts_with": "DATA", "header_bytes": 5, "id": "int32", "values": 3}
_TREE = {
    "air": {"vg": 100.5, "names": ["a", "ü"]},
    "engines": [{"n1": 88.0}, {"n1": None}],
    "gear": "down",
    "big": 9007199254740991,
    "on": True,
}

DECODERS = (
    Decoder(
        "delimited",
        ["vc", "gear", 0],
        "delimited",
        {"columns": _COLUMNS, "skip": ["<LABELS>"]},
        [b"1.0,140.2,0,down\r\n", b" 1.25 ,-1e-3, 1 ,0\n", b'1,"2","a,b","c""d"', b"<LABELS>,x"],
    ),
    Decoder(
        *("spaces", ["vc", "gear"], "delimited", {"columns": _COLUMNS, "separator": " "}),
        [b"1.0  140.2\t0 down", b" 1 2 3 4 "],
    ),
    Decoder(
        *("announced", ["vc", "wow"], "delimited", {"announced_by": "time"}),
        [b"time,vc,wow", b"1.0,140.2,0", b"time,wow,wow,vc", b"1.0,0,1,140.2"],
    ),
    Decoder(
        *("sentences", ["gear"], "delimited", {"columns": ["s", "gear"], "checksum": "xor"}),
        [b"$PGEAR,1*5C\r\n", b"!PGEAR,1*5C"],
    ),
    Decoder(
        *("names", ["vc", "gear"], "names", {}),
        [b"vc=140.2\ngear=down\nother=1\n", b"gear = 1\r\n vc = -0.5\r\n"],
    ),
    Decoder(
        *("names apart", ["vc", "gear"], "names", {"equals": " ", "between": ";"}),
        [b"vc 140.2;gear down;x", b" vc\t1 ; gear 0"],
    ),
    Decoder(
        *("json", [("air", "vg"), ("engines", 0, "n1"), "gear", "big", "on"], "json", {}),
        [json.dumps(_TREE).encode(), json.dumps(_TREE, ensure_ascii=False, indent=1).encode()],
    ),
    Decoder("binary", ["vc", ("wow", 1), "nose", "time"], "binary", _BINARY, [_PACKED]),
    Decoder(
        "binary with a checksum",
        [("a", 8)],
        "binary",
        {
            "order": "big",
            "checksum": "crc16_ccitt",
            "fields": [{"name": "a", "type": "uint8", "count": 9}],
        },
        [b"123456789\x29\xb1"],
    ),
    Decoder(
        *("records", [(3, 0), (20, 2)], "records", {**_RECORDS, "type": "float32"}),
        [b"DATA*" + struct.pack(">ifffifff", 3, 1, 2, 3, 20, 4, 5, 6), b"DATA*"],
    ),
    Decoder("topics", ["sim/vg"], "topics", {}, [b"140.2", b" down\n", b""], "sim/vg"),
)


def _cutter(over: str, form: str, **keys: Any) -> Callable[[], Framing]:
    """What makes a framing; its keys are read once."""
    made, way = (
        format_keys(form, **keys),
        transport_keys(over, port="COM5" if over == "serial" else 1),
    )

    def make() -> Framing:
        framing = make_framing(made, way)
        assert framing is not None
        return framing

    return make


_CHECKED = [b"PNL1" + bytes([n, 0x50 ^ 0x4E ^ 0x4C ^ 0x31 ^ n]) for n in range(36)]
_ONE = {"order": "big", "starts_with": "PNL1", "fields": [{"name": "a", "type": "uint8"}]}

STREAMS = (
    Stream("lines", _cutter("tcp", "json"), [b"{}", b"[1]"], b"\n{}\r\n[1]\n"),
    Stream(
        "prompts",
        _cutter("tcp", "names", ends_with="> "),
        [b"a = 1", b"b = 2"],
        b"> a = 1> b = 2> ",
    ),
    Stream(
        "blocks on a lossy line",
        _cutter("serial", "binary", **_BINARY),
        # The first may be lost with the damage before it, the last waits for the next mark.
        [_PACKED] * 2,
        _PACKED * 3 + b"PNL1",
        len(_PACKED) + 8,
    ),
    Stream(
        "blocks", _cutter("tcp", "binary", **_BINARY), [_PACKED] * 2, _PACKED * 4, len(_PACKED) + 8
    ),
    Stream(
        "blocks with a checksum",
        _cutter("serial", "binary", **_ONE, checksum="xor8"),
        _CHECKED[1:],
        b"".join(_CHECKED),
        16,
    ),
)
