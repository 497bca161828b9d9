"""Checksums of messages: the exclusive or of a sentence, and those of binary blocks."""

from __future__ import annotations

from binascii import crc_hqx
from collections.abc import Callable
from functools import reduce
from operator import xor
from typing import Literal

from panelbridge.feeds.formats.format import Refused

_CRC_START = 0xFFFF
_HEX = frozenset("0123456789ABCDEFabcdef")


def xor8(data: bytes) -> int:
    """Exclusive or of all bytes."""
    return reduce(xor, data, 0)


def checked_sentence(text: str) -> str:
    """What stands between ``$`` or ``!`` and ``*`` of a sentence with a right checksum.

    The source of the rule stands in ``tests/published/test_p_3_sentence_checksum.py``.

    Raises:
        Refused: it has no checksum, or another one.
    """
    body, star, digits = text[1:].rpartition("*")
    digits = digits.rstrip()
    if text[:1] not in ("$", "!") or not star or len(digits) != 2 or not _HEX.issuperset(digits):
        raise Refused("no checksum", "it must be $...*HH")
    found = xor8(body.encode())
    if found != int(digits, 16):
        raise Refused("wrong checksum", f"it is {found:02X}, and the message says {digits}")
    return body


BinaryCheck = Literal["crc16_ccitt", "xor8", "sum8"]


def binary_check(kind: BinaryCheck, order: Literal["little", "big"]) -> Callable[[bytes], bool]:
    """Whether the last bytes of a block are the checksum of those before."""
    if kind == "crc16_ccitt":
        return lambda block: crc_hqx(block[:-2], _CRC_START) == int.from_bytes(block[-2:], order)
    if kind == "xor8":
        return lambda block: xor8(block) == 0
    return lambda block: sum(block[:-1]) & 0xFF == block[-1]
