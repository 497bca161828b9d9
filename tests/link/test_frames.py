from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.link.wire.frames import MAX_ENCODED, MAX_MESSAGE, FrameParser, encode_frame

messages = st.binary(min_size=1, max_size=MAX_MESSAGE - 2)
junk = st.binary(max_size=400)


def in_pieces(data: bytes, cuts: list[int]) -> list[bytes]:
    edges = sorted({0, len(data), *(cut % (len(data) + 1) for cut in cuts)})
    return [data[a:b] for a, b in pairwise(edges)]


@given(st.lists(junk, max_size=20))
def test_any_bytes_in_any_split_raise_nothing_and_are_not_hoarded(chunks: list[bytes]) -> None:
    parser = FrameParser()
    for chunk in chunks:
        parser.feed(chunk)
        assert parser.held <= MAX_ENCODED


@given(junk, messages)
def test_the_next_good_frame_after_any_junk_is_found(before: bytes, message: bytes) -> None:
    """Junk may swallow the frame that it runs into, but never the one after."""
    parser = FrameParser()
    parser.feed(before)
    parser.feed(encode_frame(message))
    assert parser.feed(encode_frame(message))[-1:] == [message]


@given(junk, messages)
def test_a_zero_after_junk_saves_the_very_next_frame(before: bytes, message: bytes) -> None:
    parser = FrameParser()
    assert parser.feed(before + b"\0" + encode_frame(message))[-1:] == [message]


@given(
    st.lists(st.one_of(messages.map(encode_frame), junk), max_size=8),
    st.lists(st.integers(0, 5000), max_size=20),
)
def test_the_split_does_not_matter(parts: list[bytes], cuts: list[int]) -> None:
    stream = b"".join(parts)
    whole = FrameParser()
    expected = whole.feed(stream)
    split = FrameParser()
    found = [message for piece in in_pieces(stream, cuts) for message in split.feed(piece)]
    assert found == expected
    assert split.counts == whole.counts
    assert split.held == whole.held


@given(st.lists(messages, max_size=10))
def test_good_frames_all_arrive_in_order(sent: list[bytes]) -> None:
    parser = FrameParser()
    stream = b"".join(encode_frame(message) for message in sent)
    assert parser.feed(stream) == sent
    assert parser.counts.good == len(sent)
    assert parser.counts.bad == 0


@given(messages, st.data())
def test_a_damaged_byte_is_never_taken_for_the_message(message: bytes, data: st.DataObject) -> None:
    frame = bytearray(encode_frame(message))
    place = data.draw(st.integers(0, len(frame) - 2))
    frame[place] ^= data.draw(st.integers(1, 255))
    parser = FrameParser()
    assert parser.feed(bytes(frame)) == []
    assert parser.counts.bad >= 1 or frame.count(0) > 1


def test_a_flood_without_a_zero_is_counted_once_and_forgotten() -> None:
    parser = FrameParser()
    for _ in range(100):
        assert parser.feed(b"\x55" * 1000) == []
    assert parser.counts.too_long == 1
    assert parser.held == 0
    assert parser.feed(b"tail of it\0" + encode_frame(b"hello")) == [b"hello"]
    assert parser.counts.bad == 1


@given(st.integers(0, 300), st.integers(0, 300))
def test_no_more_is_held_than_a_frame_can_have(first: int, second: int) -> None:
    parser = FrameParser()
    for count in (first, second):
        parser.feed(b"\x55" * count)
        assert parser.held <= MAX_ENCODED
    assert parser.counts.too_long == (first > MAX_ENCODED or first + second > MAX_ENCODED)


def test_a_frame_of_the_longest_length_passes_and_one_byte_more_does_not() -> None:
    parser = FrameParser()
    longest = bytes(MAX_MESSAGE - 2)
    assert parser.feed(encode_frame(longest)) == [longest]
    assert parser.feed(encode_frame(longest + b"\x01")) == []
    assert parser.counts.too_long == 1


def test_zeros_in_a_row_are_no_damage() -> None:
    parser = FrameParser()
    assert parser.feed(b"\0\0\0" + encode_frame(b"\x06") + b"\0\0") == [b"\x06"]
    assert parser.counts.bad == 0


def test_reset_forgets_a_begun_frame() -> None:
    parser = FrameParser()
    parser.feed(encode_frame(b"old and lost")[:5])
    parser.reset()
    assert parser.held == 0
    assert parser.feed(encode_frame(b"new")) == [b"new"]
    assert parser.counts.bad == 0
