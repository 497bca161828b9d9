"""The MicroPython firmware and the computer agree on frames, for any bytes. In CPython."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterator
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.link.wire.frames import MAX_ENCODED, FrameParser, crc16, encode_frame
from tests.firmware.pico_bench import FIRMWARE


@pytest.fixture(autouse=True, scope="module")
def tools() -> None:
    """These tests need no compiler."""


def load() -> Any:
    """The firmware's frames.py, loaded into CPython."""
    before = set(sys.modules)
    fake = ModuleType("micropython")
    fake.const = lambda number: number  # type: ignore[attr-defined]
    fake.viper = lambda function: function  # type: ignore[attr-defined]
    sys.modules["micropython"] = fake
    sys.path.insert(0, str(FIRMWARE))
    try:
        spec = importlib.util.spec_from_file_location("pico_frames", FIRMWARE / "frames.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        vars(module).update(ptr8=bytearray, ptr16=bytearray)  # names that viper knows
        spec.loader.exec_module(module)
        return module
    finally:
        sys.path.remove(str(FIRMWARE))
        for name in set(sys.modules) - before:
            del sys.modules[name]


PICO = load()


def taken(reader: Any, data: bytes) -> list[bytes]:
    at, messages = 0, []
    while at < len(data):
        at = reader.take(data, at, len(data))
        if reader.length:
            messages.append(bytes(reader.message[: reader.length]))
    return messages


def encoded(message: bytes) -> bytes:
    writer = PICO.FrameWriter()
    writer.message[: len(message)] = message
    count = writer.seal(len(message))
    return bytes(writer.frame[:count])


@given(st.binary(max_size=300))
def test_crc(data: bytes) -> None:
    assert PICO.crc16(data) == crc16(data)


@given(st.binary(max_size=118))
def test_frames_are_the_same(message: bytes) -> None:
    assert encoded(message) == encode_frame(message)


def pieces() -> Iterator[st.SearchStrategy[bytes]]:
    yield st.binary(max_size=140)
    yield st.binary(max_size=118).map(encode_frame)
    yield st.builds(lambda n, byte: bytes([byte]) * n, st.integers(100, 260), st.integers(1, 255))
    yield st.just(b"\0")
    yield st.just(encode_frame(b""))


@given(st.lists(st.one_of(*pieces()), max_size=12))
def test_any_bytes_give_the_same_messages_and_the_same_count(parts: list[bytes]) -> None:
    data = b"".join(parts) + b"\0"
    parser, reader = FrameParser(), PICO.FrameReader()
    assert taken(reader, data) == parser.feed(data)
    assert reader.bad == parser.counts.bad


@pytest.mark.parametrize("length", [MAX_ENCODED - 1, MAX_ENCODED, MAX_ENCODED + 1])
def test_the_longest_frame(length: int) -> None:
    message = bytes(range(1, length - 2))
    frame = encode_frame(message)
    assert len(frame) == length + 1
    reader = PICO.FrameReader()
    assert taken(reader, frame) == ([message] if length <= MAX_ENCODED else [])
    assert reader.bad == (length > MAX_ENCODED)


@given(st.binary(min_size=1, max_size=100), st.integers(1, 40))
def test_a_run_that_is_longer_than_its_frame_is_rejected(message: bytes, more: int) -> None:
    """All bytes are present and the CRC is correct, but it is not valid COBS."""
    frame = bytearray(encode_frame(message))
    at = 0
    while at + frame[at] < len(frame) - 1:
        at += frame[at]
    frame[at] = min(frame[at] + more, 255)
    parser, reader = FrameParser(), PICO.FrameReader()
    assert taken(reader, bytes(frame)) == parser.feed(bytes(frame)) == []
    assert reader.bad == parser.counts.bad == 1
