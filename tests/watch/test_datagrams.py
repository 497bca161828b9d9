"""Datagrams to the publisher: forged, changed, repeated and long ones are dropped."""

from __future__ import annotations

import random

import pytest

from panelbridge.watch.datagrams import (
    MOST_BYTES,
    DatagramOpener,
    DatagramSealer,
    PublishedPart,
)

SECRET = bytes(range(32))
PART = PublishedPart(b'{"time_s":1}', 7, (b'{"a":1}', b'{"b":2}'))


def sealed(part: PublishedPart = PART, secret: bytes = SECRET) -> bytes:
    datagram = DatagramSealer(secret).seal(part)
    assert datagram is not None
    return datagram


@pytest.mark.parametrize(
    "part",
    [PART, PublishedPart(b"", 0, (b"{}",)), PublishedPart(b"{}", 4_000_000_000, ())],
    ids=["both", "events", "snapshot"],
)
def test_what_was_sealed_is_opened(part: PublishedPart) -> None:
    opener = DatagramOpener(SECRET)
    assert opener.open(sealed(part)) == part
    assert opener.refused == 0


def test_one_of_another_run_is_refused() -> None:
    opener = DatagramOpener(SECRET)
    assert opener.open(sealed(secret=b"another run's secret")) is None
    assert opener.refused == 1


def test_each_changed_bit_is_noticed() -> None:
    datagram = sealed()
    opener = DatagramOpener(SECRET)
    for at in range(len(datagram)):
        changed = bytearray(datagram)
        changed[at] ^= 1 << (at % 8)
        assert opener.open(bytes(changed)) is None
    assert opener.open(datagram) == PART


def test_one_that_is_repeated_or_comes_late_is_refused() -> None:
    sealer, opener = DatagramSealer(SECRET), DatagramOpener(SECRET)
    first, second = sealer.seal(PART), sealer.seal(PART)
    assert first is not None
    assert second is not None
    assert opener.open(second) == PART
    assert opener.open(second) is None
    assert opener.open(first) is None
    assert opener.refused == 2


@pytest.mark.parametrize("length", [0, 1, 15, 16, 28, MOST_BYTES + 1, 65_000])
def test_short_and_long_garbage_is_refused(length: int) -> None:
    assert DatagramOpener(SECRET).open(bytes(length)) is None


def test_a_long_one_is_compressed_and_stays_below_8_kb() -> None:
    part = PublishedPart(b'{"lamp": 255}' * 2000, 0, ())
    datagram = sealed(part)
    assert len(datagram) < MOST_BYTES
    assert DatagramOpener(SECRET).open(datagram) == part


def test_what_fits_nowhere_is_not_sent() -> None:
    noise = random.Random(1).randbytes(20_000).replace(b"\n", b"")
    assert DatagramSealer(SECRET).seal(PublishedPart(noise, 0, ())) is None
