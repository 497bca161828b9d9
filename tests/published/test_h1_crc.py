"""H-1: check values of the public CRC catalogue, and H-2: what the CRC is sure to find.

H-1: the catalogue's parameters and check values (CRC of the ASCII characters 123456789) of the
16-bit CRCs with polynomial 0x1021. H-2: P. Koopman's tables of CRC polynomials (CMU): 0x1021 keeps
a Hamming distance of 4 for 16 to 151 data bits, so every error of 1, 2 or 3 bits in a frame of 16
bytes is found.
"""

from __future__ import annotations

import binascii
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import MessageError
from panelbridge.link.wire import Edge, Report, SetupShape
from panelbridge.link.wire.frames import FrameParser, crc16, encode_frame

CHECK_TEXT = b"123456789"


def bitwise_crc(data: bytes, start: int, *, reflected: bool, xor_out: int) -> int:
    """The CRC's definition, bit by bit, with polynomial 0x1021: shares nothing with our own."""
    register = start
    for byte in data:
        bits = range(8) if reflected else range(7, -1, -1)
        for bit in bits:
            top = register >> 15 & 1
            register = register << 1 & 0xFFFF
            if top ^ (byte >> bit & 1):
                register ^= 0x1021
    if reflected:
        register = int(f"{register:016b}"[::-1], 2)
    return register ^ xor_out


@pytest.mark.parametrize(
    ("name", "start", "reflected", "xor_out", "check"),
    [
        ("XMODEM", 0x0000, False, 0x0000, 0x31C3),
        ("IBM-3740", 0xFFFF, False, 0x0000, 0x29B1),
        ("SPI-FUJITSU", 0x1D0F, False, 0x0000, 0xE5CC),
        ("KERMIT", 0x0000, True, 0x0000, 0x2189),
        ("IBM-SDLC", 0xFFFF, True, 0xFFFF, 0x906E),
    ],
)
def test_catalogue(name: str, start: int, reflected: bool, xor_out: int, check: int) -> None:
    """The bitwise CRC that judges ours gives the catalogue's values, so it is a fair judge."""
    assert bitwise_crc(CHECK_TEXT, start, reflected=reflected, xor_out=xor_out) == check, name


def test_ours_is_ibm_3740() -> None:
    assert crc16(CHECK_TEXT) == 0x29B1


def test_the_c_routine_is_that_of_xmodem_with_another_start() -> None:
    assert binascii.crc_hqx(CHECK_TEXT, 0) == 0x31C3


@given(st.binary(max_size=200))
def test_ours_equals_the_bitwise_definition(data: bytes) -> None:
    assert crc16(data) == bitwise_crc(data, 0xFFFF, reflected=False, xor_out=0)


@given(st.binary(min_size=1, max_size=118))
def test_residue_is_zero_most_significant_byte_first(data: bytes) -> None:
    assert crc16(data + crc16(data).to_bytes(2, "big")) == 0


def syndromes(length: int) -> list[int]:
    """What each single flipped bit of a frame adds to the CRC's register.

    The CRC is linear: register(frame xor error) = register(frame) xor syndrome(error), so an error
    of several bits is found unless its bits' syndromes cancel.
    """
    zero = bitwise_crc(bytes(length), 0, reflected=False, xor_out=0)
    found = []
    for bit in range(8 * length):
        flipped = bytearray(length)
        flipped[bit // 8] ^= 0x80 >> bit % 8
        found.append(bitwise_crc(bytes(flipped), 0, reflected=False, xor_out=0) ^ zero)
    return found


def test_the_crc_is_linear() -> None:
    """The ground that the exhaustive test below stands on, for real frames with our own CRC."""
    body = bytes(range(14))
    frame = body + crc16(body).to_bytes(2, "big")
    each = syndromes(len(frame))
    for bits in [(0,), (3, 77), (5, 60, 127), (126, 127)]:
        damaged = bytearray(frame)
        expected = 0
        for bit in bits:
            damaged[bit // 8] ^= 0x80 >> bit % 8
            expected ^= each[bit]
        assert crc16(bytes(damaged)) == expected


def test_every_error_of_one_two_or_three_bits_is_found() -> None:
    """Exhaustive over the 349632 errors of a frame of 16 bytes (14 and the CRC)."""
    each = syndromes(16)
    assert len(each) == 128
    assert 0 not in each  # one bit
    assert len(set(each)) == 128  # two bits cancel only when they are the same
    pairs = {a ^ b for a, b in combinations(each, 2)}
    assert pairs.isdisjoint(each)  # three bits cancel only when two equal the third


def test_distance_is_no_more_than_four() -> None:
    """The test above is no tautology: some errors of four bits do cancel."""
    each = syndromes(16)
    seen: set[int] = set()
    cancels = False
    for a, b in combinations(each, 2):
        cancels = cancels or a ^ b in seen
        seen.add(a ^ b)
    assert cancels


def test_every_single_flipped_bit_on_the_wire_is_refused() -> None:
    """The same through COBS and the parser, where a flip can also make or break a zero."""
    message = bytes.fromhex("83 05 00 10 00 00 00 07 00 01 80 ff 00 12")
    frame = encode_frame(message)
    for bit in range(8 * (len(frame) - 1)):
        damaged = bytearray(frame)
        damaged[bit // 8] ^= 1 << bit % 8
        parser = FrameParser()
        assert parser.feed(bytes(damaged)) == []
        assert parser.counts.bad >= 1


def test_a_flipped_end_of_frame_can_only_make_the_message_one_byte_longer() -> None:
    """A CRC with residue zero does not see zeros appended: 01 00 after a frame is such a zero.

    The message's exact length catches it, so checking lengths is part of the protection.
    """
    shape = SetupShape(contacts=8, analogues=0, outputs=())
    report = Report(5, 16, 0, 0, 7, 0, 0x81, (), (Edge(1, True), Edge(2, False)))
    frame = encode_frame(report.pack(shape))
    for flipped in (1 << bit for bit in range(8)):
        for message in FrameParser().feed(frame[:-1] + bytes([flipped, 0])):
            assert len(message) == len(report.pack(shape)) + 1
            with pytest.raises(MessageError):
                Report.unpack(message, shape)
    assert FrameParser().feed(frame[:-1] + b"\x01\0") != []  # so it does happen
