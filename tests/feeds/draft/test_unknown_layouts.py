"""Drafts of streams with made-up layouts: format, fields, types and rates are found, or doubted."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.load import load_feed
from panelbridge.feeds.draft.draft import Draft, draft_of
from panelbridge.feeds.draft.draft_text import draft_text
from panelbridge.feeds.draft.samples import HeardStream, StreamSample
from panelbridge.feeds.formats.format import Refused
from tests.examples import few_of
from tests.feeds.draft import strangers
from tests.feeds.draft.strangers import Stranger
from tests.feeds.formats.making import a_format

SEEDS = range(8)
RECEIVE = {"over": "udp", "listen_port": 45139}


def drafted(stranger: Stranger, *, is_stream: bool = False) -> Draft:
    draft = draft_of(stranger.heard(is_stream=is_stream))
    assert draft.guess is not None, stranger.about
    return draft


def text_of(draft: Draft, heard: HeardStream | None = None) -> str:
    return draft_text(draft, heard or HeardStream(draft.messages, 5.0), RECEIVE, "UDP 127.0.0.1:1")


def missing(draft: Draft, stranger: Stranger, time_s: float = 2.0) -> list[float]:
    """What the drafted format does not find of that which a message holds."""
    assert draft.guess is not None
    keys = dict(draft.guess.keys)
    form = a_format(draft.guess.fields, keys.pop("form"), **keys)
    try:
        found = form.decode(stranger.message(time_s))
    except Refused as refused:
        pytest.fail(f"{refused.reason}: {draft.guess.keys} {stranger.about}")
    numbers = [float(v) for v in found.values() if isinstance(v, int | float)]
    return [
        value
        for value in stranger.expected(time_s)
        if not any(math.isclose(value, one, rel_tol=1e-6, abs_tol=1e-9) for one in numbers)
    ]


TEXTS = [strangers.columns, strangers.pairs, strangers.trees]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("make", TEXTS)
def test_text_is_read_whole(make: Callable[[int], Stranger], seed: int) -> None:
    stranger = make(seed)
    draft = drafted(stranger)
    assert missing(draft, stranger) == []
    assert not draft.refused
    rate = re.search(r"^# \d+ messages came, about (\d+) a second$", text_of(draft), re.MULTILINE)
    assert rate is not None
    assert float(rate[1]) == stranger.rate_hz


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("make", [strangers.columns, strangers.trees])
def test_lines_in_a_stream_that_begins_in_the_middle(
    make: Callable[[int], Stranger], seed: int
) -> None:
    stranger = make(seed)
    if not stranger.message(0.0).endswith(b"\n"):
        message = stranger.message
        stranger = replace(stranger, message=lambda t: message(t) + b"\n")
    assert missing(drafted(stranger, is_stream=True), stranger) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_names_of_pairs_are_found(seed: int) -> None:
    stranger = strangers.pairs(seed)
    assert [*drafted(stranger).guess.fields] == stranger.about["names"]  # type: ignore[union-attr]


@pytest.mark.parametrize("seed", SEEDS)
def test_separator_and_number_of_columns_are_found(seed: int) -> None:
    stranger = strangers.columns(seed)
    guess = drafted(stranger).guess
    assert guess is not None
    assert guess.keys.get("separator", ",") == stranger.about["separator"]
    assert len(guess.keys["columns"]) == stranger.about["columns"]
    assert guess.doubts == ["the simulator sends no names of columns: these are numbered"]


@pytest.mark.parametrize("is_stream", few_of([False, True]))
def test_binary_layouts_are_read_or_doubted(is_stream: bool) -> None:
    """Types and places come from the numbers alone: nine in ten are right."""
    right = 0
    for seed in range(20):
        stranger = strangers.packed(seed)
        draft = drafted(stranger, is_stream=is_stream)
        guess = draft.guess
        assert guess is not None
        if not missing(draft, stranger):
            right += 1
            if set("fd") & set(stranger.about["letters"]):
                assert guess.keys["order"] == stranger.about["order"]
    assert right >= 18


@pytest.mark.parametrize("is_stream", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_records_are_read(seed: int, is_stream: bool) -> None:
    stranger = strangers.records(seed)
    draft = drafted(stranger, is_stream=is_stream)
    assert missing(draft, stranger) == []
    guess = draft.guess
    assert guess is not None
    assert guess.keys["form"] == "records"
    assert guess.keys["values"] == stranger.about["values"]
    assert ("records" in guess.keys) == is_stream


def a_table(lines: list[bytes], rate_hz: float = 20.0) -> Draft:
    return draft_of(HeardStream([StreamSample(n / rate_hz, d) for n, d in enumerate(lines)], 5.0))


ROWS = [b"%d.5,%d,1" % (n, 300 - n) for n in range(40)]


@pytest.mark.parametrize(
    ("labels", "columns", "skip"),
    [
        (b"time,ias,wow", ["time", "ias", "wow"], ["time"]),
        (b"<HEAD> , time , ias , ias", ["time", "ias", "ias_2"], ["<HEAD>"]),
    ],
)
@pytest.mark.parametrize("at", [0, 25])
def test_labels_name_the_columns(
    labels: bytes, columns: list[str], skip: list[str], at: int
) -> None:
    draft = a_table([*ROWS[:at], labels, *ROWS[at:]])
    assert draft.guess is not None
    assert draft.guess.keys["columns"] == columns
    assert draft.guess.keys["skip"] == skip
    assert not draft.guess.doubts
    assert not draft.refused


def test_sentences_with_a_checksum() -> None:
    def sentence(body: str) -> bytes:
        check = 0
        for c in body.encode():
            check ^= c
        return f"${body}*{check:02X}\r\n".encode()

    lines = [sentence(f"PGEAR,{n},{n % 2}") for n in range(30)] + [sentence("PTIME,12")] * 3
    draft = a_table(lines)
    assert draft.guess is not None
    assert draft.guess.keys["checksum"] == "xor"
    assert draft.guess.keys["only"] == "$PGEAR,"
    assert draft.guess.notes == ["other sentences come too: PTIME"]
    assert not draft.refused
    assert [len(one.values) for one in draft.series] == [30, 30, 30]


def test_what_never_changes_and_what_has_no_pattern_is_doubted() -> None:
    draft = a_table([b"\xaa\x55\0\0\0\0\0\0\x80\x3f" for _ in range(20)])
    assert "all messages were the same" in text_of(draft)
    assert "GUESS: it was 0 all the time" in text_of(draft) or "never changed" in text_of(draft)
    noise = [bytes((n * k * 7 + k * k) % 251 + 3 for k in range(3 + n * 5 % 17)) for n in range(60)]
    draft = a_table(noise)
    assert draft.guess is None
    assert "# UNSURE: no format fits" in text_of(draft)


def test_topics_with_values_and_topics_with_json() -> None:
    def heard(*messages: tuple[str, bytes]) -> HeardStream:
        return HeardStream([StreamSample(n / 10, d, t) for n, (t, d) in enumerate(messages)], 5.0)

    singles = [(f"sim/{name}", b"%d" % n) for n in range(20) for name in ("ias", "x/gear")]
    draft = draft_of(heard(*singles, ("other", b'{"a": 1}')))
    assert draft.guess is not None
    assert draft.guess.keys == {"form": "topics"}
    assert draft.topics == ["sim/ias", "sim/x/gear"]
    assert draft.notes == ["other topics come too: other"]
    text = text_of(draft)
    assert 'topics: ["sim/ias", "sim/x/gear"]' in text
    assert (
        'airspeed_kias: { at: "sim/ias" }  # guess, by its name: 0 to 19, about 5 a second' in text
    )
    trees = [("state", json.dumps({"ias": n}).encode()) for n in range(20)]
    draft = draft_of(heard(*trees))
    assert draft.guess is not None
    assert draft.guess.keys == {"form": "json"}
    assert draft.topics == ["state"]


def test_a_draft_is_a_feed_file(tmp_path: Path) -> None:
    lines = [
        json.dumps(
            {
                "airSpeed_kts": 100 + n / 3,
                "gear": "DOWN" if n > 5 else "UP",
                "wow": {"nose": n % 2, "left": 1},
                "throttle": [40.0 + n, 41.0],
                'say "it" #': n,
            }
        ).encode()
        for n in range(40)
    ]
    path = tmp_path / "draft.yaml"
    path.write_text(text_of(a_table(lines)), "utf-8")
    file = load_feed(path)
    assert isinstance(file, LinkFeedFile)
    assert {name: value.at for name, value in file.values.items()} == {
        "airspeed_kias": "airSpeed_kts",
        "simulator_handle": "gear",
        "strut_nose": ("wow", "nose"),
        "strut_left": ("wow", "left"),
        "throttle_1": ("throttle", 0),
        "throttle_2": ("throttle", 1),
    }
    assert file.values["airspeed_kias"].unit == "kt"
    assert file.values["throttle_1"].unit == "percent"
    assert file.values["simulator_handle"].words == {"up": ("UP",), "down": ("DOWN",)}
    assert file.stale_after_s == 0.5


def test_numbers_that_do_not_fit_a_value_are_doubted() -> None:
    lines = [b"gs=%d\nalt_m=%d\nias_psi=%d" % (1200 + n, 1000 + n, 90 + n) for n in range(20)]
    text = text_of(a_table(lines))
    line = next(line for line in text.splitlines() if "ground_speed_kt" in line)
    assert line.endswith("UNSURE: it is beyond 0 to 1000 kt: another value, or another unit")
    assert "altitude_ft: { at: alt_m, unit: m }" in text
    assert "airspeed_kias: { at: ias_psi }" in text
    assert text.count("UNSURE") == 1


def test_names_of_a_hostile_sender_stay_in_their_comments(tmp_path: Path) -> None:
    lines = [
        json.dumps({"a\nkind: panel": n, "b\x1b[2J": n, "ias": n, "x: {": f"w{n}\n- y"}).encode()
        for n in range(20)
    ]
    text = text_of(a_table(lines))
    assert "\x1b" not in text
    assert "\nkind: panel" not in text
    (tmp_path / "draft.yaml").write_text(text, "utf-8")
    assert isinstance(load_feed(tmp_path / "draft.yaml"), LinkFeedFile)
