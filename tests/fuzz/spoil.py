"""Spoils good messages, as a line, a sender's defect or a hostile sender would."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

TOKENS = (
    *(b"nan", b"NaN", b"-Infinity", b"1e999", b"-1e-999", b"1_0", b"0x10", b"9" * 400),
    *("١٢".encode(), b"\xff\xfe", b"\0", b"\r\n", b"\n", b'"', b'""', b"'", b",", b";", b"="),
    *(b"{", b"}", b"[", b"]", b":", b"[" * 3000, b'{"a":' * 2000, b"\\ud800", b"null", b"true"),
    *(
        b"*",
        b"$",
        b"#",
        b" ",
        b"\t",
        b"PNL1",
        b"DATA",
        b"> ",
        b"\xef\xbb\xbf",
        b"<LABELS>",
        b"time",
    ),
    *(
        b"\x7f\xc0\0\0",
        b"\x7f\x80\0\0",
        b"\0\0\xc0\x7f",
        b"\xff" * 8,
        b"\0" * 8,
        b"%s%n",
        b"\x1b[2J",
    ),
)


def spoilt(random: Random, messages: Sequence[bytes]) -> bytes:
    """One of ``messages`` with some damage, or several pieces of them."""
    data = bytearray(random.choice(messages))
    for _ in range(random.choice((1, 1, 1, 2, 3, 8))):
        place = random.randrange(len(data) + 1)
        kind = random.randrange(8)
        if kind == 0 and data:
            data[place % len(data)] ^= 1 << random.randrange(8)
        elif kind == 1 and data:
            data[place % len(data)] = random.randrange(256)
        elif kind == 2:
            del data[place : place + random.randrange(1, 5)]
        elif kind == 3:
            data[place:place] = random.choice(TOKENS)
        elif kind == 4:
            data[place : place + random.randrange(9)] = random.choice(TOKENS)
        elif kind == 5:
            other = random.choice(messages)
            data[place:] = other[random.randrange(len(other) + 1) :]
        elif kind == 6:
            data[place:place] = data[: random.randrange(len(data) + 1)]
        else:
            data[place:place] = random.randbytes(random.randrange(12))
        del data[8000:]
    return bytes(data)
