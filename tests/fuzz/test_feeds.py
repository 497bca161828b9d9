"""Decoders and framings keep their promises whatever comes: made-up and spoilt messages."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from panelbridge.feeds.formats.format import Format, Raw
from tests.fuzz import feeds
from tests.fuzz.spoil import TOKENS, spoilt
from tests.fuzz.targets import DECODERS, STREAMS, Decoder, Stream

PIECES = st.lists(st.sampled_from(TOKENS) | st.binary(max_size=8), max_size=12).map(b"".join)


@pytest.mark.parametrize("target", DECODERS, ids=[one.name for one in DECODERS])
@given(data=st.binary(max_size=300) | PIECES)
@example(data=b"1.0," + ("9" * 199 + "١٢").encode() + b",1,0")
def test_a_decoder_takes_anything(target: Decoder, data: bytes) -> None:
    target.judge(target.make(), data)


@pytest.mark.parametrize("target", DECODERS, ids=[one.name for one in DECODERS])
@given(data=st.data())
def test_a_decoder_takes_spoilt_messages(target: Decoder, data: st.DataObject) -> None:
    message = data.draw(st.sampled_from(target.messages))
    start = data.draw(st.integers(0, len(message)))
    end = data.draw(st.integers(start, len(message)))
    made = target.make()
    for good in target.messages:
        target.judge(made, good)
    target.judge(made, message[:start] + data.draw(PIECES) + message[end:])


@pytest.mark.parametrize("target", DECODERS, ids=[one.name for one in DECODERS])
def test_good_messages_are_read(target: Decoder) -> None:
    """Guard: what is spoilt was good."""
    made = target.make()
    ends = [target.judge(made, good) for good in target.messages]
    assert "read" in ends
    assert "refused" not in ends


@pytest.mark.parametrize("target", STREAMS, ids=[one.name for one in STREAMS])
@given(data=st.binary(max_size=300) | PIECES, cuts=st.lists(st.integers(0, 500), max_size=6))
def test_a_framing_takes_anything(target: Stream, data: bytes, cuts: list[int]) -> None:
    target.judge(data, cuts)


@pytest.mark.parametrize("target", STREAMS, ids=[one.name for one in STREAMS])
@given(data=PIECES, cuts=st.lists(st.integers(0, 500), max_size=6))
def test_where_a_stream_is_cut_changes_nothing(
    target: Stream, data: bytes, cuts: list[int]
) -> None:
    data = target.stream + data + target.stream
    whole, pieces = target.make(), target.make()
    found, last = [], 0
    for cut in [*sorted(cut % (len(data) + 1) for cut in cuts), len(data)]:
        found += pieces.feed(data[last:cut])
        last = cut
    assert found == whole.feed(data)


def test_the_runner_ends_well(capsys: pytest.CaptureFixture[str]) -> None:
    assert feeds.main(["--count", "3200"]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert last.startswith("3200 inputs, 0 broken, seed 1, ")


def test_the_runner_finds_a_broken_promise(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Careless:
        """Takes Python's word for what a number is."""

        skipped: dict[str, int] = {}  # noqa: RUF012

        def decode(self, data: bytes, topic: str = "") -> dict[object, Raw]:
            return {"sim/vg": float(data)}

    def careless(_: Decoder) -> Format:
        return Careless()

    monkeypatch.setattr(Decoder, "make", careless)
    assert feeds.main(["--count", "1600"]) == 1
    out = capsys.readouterr().out
    assert out.count("BROKEN: seed 1: ") == len(DECODERS)
    assert "topics: b'" in out


def test_damage_is_the_same_for_the_same_seed() -> None:
    messages = DECODERS[0].messages
    first, second = Random(7), Random(7)
    assert [spoilt(first, messages) for _ in range(50)] == [
        spoilt(second, messages) for _ in range(50)
    ]
