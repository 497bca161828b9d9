"""H-3: COBS. S. Cheshire, M. Baker: Consistent Overhead Byte Stuffing, IEEE/ACM Transactions on
Networking 7(2), 1999: no more than one byte in 254 is added, and no zero is left.
"""

from __future__ import annotations

import pytest
from cobs.cobs import decode, encode
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.link.wire.frames import MAX_ENCODED, MAX_MESSAGE, FrameParser, encode_frame

VECTORS = [
    ("", "01"),
    ("00", "01 01"),
    ("00 00", "01 01 01"),
    ("00 11 00", "01 02 11 01"),
    ("11 22 00 33", "03 11 22 02 33"),
    ("11 22 33 44", "05 11 22 33 44"),
    ("11 00 00 00", "02 11 01 01 01"),
    (
        "45 00 00 2C 4C 79 00 00 40 06 4F 37",
        "02 45 01 04 2C 4C 79 01 05 40 06 4F 37",
    ),
]


@pytest.mark.parametrize(("plain", "stuffed"), VECTORS)
def test_vectors(plain: str, stuffed: str) -> None:
    assert encode(bytes.fromhex(plain)) == bytes.fromhex(stuffed)
    assert decode(bytes.fromhex(stuffed)) == bytes.fromhex(plain)


@pytest.mark.parametrize(("length", "overhead"), [(1, 1), (254, 1), (255, 2), (508, 2), (509, 3)])
def test_overhead_is_one_byte_in_254(length: int, overhead: int) -> None:
    assert len(encode(b"\x55" * length)) == length + overhead


@given(st.binary(max_size=600))
def test_no_zero_is_left_and_decoding_is_the_inverse(data: bytes) -> None:
    stuffed: bytes = encode(data)
    assert b"\0" not in stuffed
    assert decode(stuffed) == data


@given(st.binary(min_size=1, max_size=MAX_MESSAGE - 2))
def test_our_frames_add_exactly_one_byte_and_hold_one_zero_at_their_end(message: bytes) -> None:
    frame = encode_frame(message)
    assert len(frame) == len(message) + 2 + 1 + 1
    assert len(frame) - 1 <= MAX_ENCODED
    assert frame.count(0) == 1
    assert frame[-1] == 0
    assert FrameParser().feed(frame) == [message]
