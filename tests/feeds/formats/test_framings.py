"""Streams are cut up: pieces of any size, starts in the middle, lost bytes, endless lines."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.feeds.formats.checksums import binary_check
from panelbridge.feeds.formats.format import Framing
from panelbridge.feeds.formats.framings import Blocks, Lines
from tests.feeds.formats.making import a_framing, format_keys


def in_pieces(framing: Framing, data: bytes, cuts: list[int]) -> list[bytes]:
    found = []
    for start, end in pairwise([0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]):
        found += framing.feed(data[start:end])
    return found


CUTS = st.lists(st.integers(0, 10_000), max_size=20)


@given(CUTS, st.sampled_from(["\n", "\r\n", "> ", ";"]))
def test_lines_come_whole_however_they_are_cut(cuts: list[int], end: str) -> None:
    lines = [b"a,1", b"bb,22", b"x" * 300, b"c"]
    data = end.encode().join([b"half", *lines, b"not yet whole"])
    assert in_pieces(Lines(end.encode()), data, cuts) == lines


@given(CUTS)
def test_a_stream_that_starts_whole_loses_nothing(cuts: list[int]) -> None:
    assert in_pieces(Lines(starts_whole=True), b"a\r\n\n\r\nb\nc", cuts) == [b"a", b"b"]


@given(CUTS, st.integers(101, 400))
def test_an_overlong_line_is_dropped_and_counted_once(cuts: list[int], length: int) -> None:
    framing = Lines(longest=100)
    assert in_pieces(framing, b"\na\n" + b"x" * length + b"\nb\n", cuts) == [b"a", b"b"]
    assert framing.refused == {"overlong line": 1}


def test_a_line_without_end_takes_no_memory() -> None:
    framing = Lines(longest=1000)
    for _ in range(10_000):
        assert framing.feed(b"x" * 100) == []
    assert len(framing._rest) <= 1001
    assert framing.feed(b"\nb\n") == [b"b"]


def test_after_a_reset_the_first_line_is_dropped_again() -> None:
    framing = Lines()
    assert framing.feed(b"a\nb\nc") == [b"b"]
    framing.reset()
    assert framing.feed(b"d\ne\n") == [b"e"]


def test_the_longest_line_is_that_of_the_facts() -> None:
    framing = a_framing(format_keys("json"))
    assert framing.feed(b"\n" + b"x" * 65_536 + b"\n") == [b"x" * 65_536]
    assert framing.feed(b"x" * 65_537 + b"\n") == []
    assert framing.refused == {"overlong line": 1}


def block(number: int) -> bytes:
    return b"PN" + bytes([number, *b"abcd"])


@given(CUTS)
def test_blocks_come_whole_however_they_are_cut(cuts: list[int]) -> None:
    blocks = [block(number) for number in range(5)]
    data = b"".join(blocks)
    assert in_pieces(Blocks(7, b"PN"), data, cuts) == blocks
    # Where bytes get lost a block counts when the next one has begun.
    assert in_pieces(Blocks(7, b"PN", lossy=True), data, cuts) == blocks[:-1]
    assert in_pieces(Blocks(7), data, cuts) == blocks


@given(CUTS, st.integers(0, 34))
def test_a_lost_byte_costs_its_block_and_makes_no_wrong_one(cuts: list[int], lost: int) -> None:
    blocks = [block(number) for number in range(5)]
    data = b"".join(blocks)
    framing = Blocks(7, b"PN", lossy=True)
    found = in_pieces(framing, data[:lost] + data[lost + 1 :] + block(9) + b"PN", cuts)
    # Without the mark of the block behind it, a block's place is not certain either.
    gone = {lost // 7, (lost - 2) // 7}
    assert found == [one for n, one in enumerate(blocks) if n not in gone] + [block(9)]
    assert sum(framing.refused.values()) > 0


@given(CUTS)
def test_a_mark_inside_a_message_does_not_mislead(cuts: list[int]) -> None:
    blocks = [b"PN\x01aPNb", b"PN\x02abPN", b"PNPNabc", b"PN\x04abcd"]
    data = b"".join(blocks)
    assert in_pieces(Blocks(7, b"PN", lossy=True), data[3:], cuts) == blocks[1:-1]


@given(CUTS, st.integers(0, 30))
def test_a_checksum_needs_no_next_block(cuts: list[int], lost: int) -> None:
    check = binary_check("xor8", "big")
    blocks = [block(n)[:6] for n in range(5)]
    blocks = [one + bytes([0x50 ^ 0x4E ^ n ^ 0x61 ^ 0x62 ^ 0x63]) for n, one in enumerate(blocks)]
    assert all(check(one) for one in blocks)
    data = b"".join(blocks)
    framing = Blocks(7, b"PN", lossy=True, check=check)
    assert in_pieces(framing, data[:lost] + data[lost + 1 :], cuts) == [
        one for number, one in enumerate(blocks) if number != lost // 7
    ]


def test_bytes_before_a_mark_are_counted() -> None:
    framing = Blocks(7, b"PN")
    assert framing.feed(b"xyzP" + block(1)) == []  # its place is not certain yet
    assert framing.feed(block(2)[:2]) == [block(1)]
    assert framing.refused == {"bytes before a mark": 4}
    framing.reset()
    assert framing.feed(block(3)) == [block(3)]


def test_a_stream_of_marks_costs_few_checks() -> None:
    checks = 0

    def check(_: bytes) -> bool:
        nonlocal checks
        checks += 1
        return False

    framing = Blocks(1000, b"P", lossy=True, check=check)
    assert framing.feed(b"P" * 60_000) == []
    assert checks < 120


def test_garbage_takes_no_memory() -> None:
    framing = Blocks(7, b"PN", lossy=True)
    for _ in range(1000):
        framing.feed(b"x" * 1000)
    assert len(framing._rest) < 9


def _streams() -> Iterator[tuple[str, dict[str, object]]]:
    yield "delimited", {"columns": ["a"]}
    yield "names", {}
    yield "json", {}
    yield "binary", {"order": "big", "starts_with": "PN", "fields": [{"name": "a", "type": "int8"}]}
    records = {"order": "big", "starts_with": "PN", "id": "int8", "values": 1, "type": "int8"}
    yield "records", {**records, "records": 2}


@pytest.mark.parametrize("over", ["serial", "tcp", "tcp_server"])
@pytest.mark.parametrize(("form", "keys"), _streams(), ids=[form for form, _ in _streams()])
def test_every_format_but_topics_has_a_framing(
    over: str, form: str, keys: dict[str, object]
) -> None:
    framing = a_framing(format_keys(form, **keys), over)
    assert isinstance(framing, Blocks if form in ("binary", "records") else Lines)
