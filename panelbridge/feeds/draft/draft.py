"""From what was heard to a format, and what it reads of what was heard."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace
from pydantic import TypeAdapter

from panelbridge.config.links.formats import AnyFormatKeys, FormatKeys
from panelbridge.feeds.draft.binary_guess import guess_binary
from panelbridge.feeds.draft.guess import FieldSeries, Guess
from panelbridge.feeds.draft.samples import HeardStream, StreamSample
from panelbridge.feeds.draft.stream_guess import blocks_of, lines_of
from panelbridge.feeds.draft.text_guess import guess_text, texts_of
from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.formats.make import make_format
from panelbridge.feeds.formats.values import key_of

MOST_TOPICS = 200
"""More topics than these are not listed."""
_KEYS: TypeAdapter[AnyFormatKeys] = TypeAdapter(FormatKeys)


class Draft(Struct, frozen=True):
    """What was found out.

    Attributes:
        guess: the format; None when nothing fits.
        messages: what was heard, cut into messages.
        series: its fields as the format reads them.
        refused: messages that the format does not read, by reason.
        topics: the topics that matter, on a medium with topics.
        notes: what else was seen.
    """

    guess: Guess | None
    messages: Sequence[StreamSample]
    series: Sequence[FieldSeries] = ()
    refused: Counter[str] = field(default_factory=Counter)
    topics: Sequence[str] = ()
    notes: Sequence[str] = ()


def draft_of(heard: HeardStream) -> Draft:
    """The format of what was heard; a guess, tried on all of it."""
    if any(sample.topic for sample in heard.samples):
        return _of_topics(heard)
    return _of_messages(heard)


def _of_messages(heard: HeardStream) -> Draft:
    samples, extra = list(heard.samples), dict[str, Any]()
    if not heard.is_stream:
        texts = texts_of(heard.messages)
        guess = guess_text(texts) if texts else None
        return _tried(guess or guess_binary(heard.messages), samples)
    lines = lines_of(heard)
    if lines is not None:
        end, samples = lines
        extra = {"ends_with": end} if end != "\n" else {}
        guess = guess_text(texts_of([one.data for one in samples]))
        if guess is not None:
            guess = replace(guess, keys=guess.keys | extra)
        return _tried(guess, samples)
    blocks = blocks_of(heard)
    if blocks is None:
        return _tried(None, samples)
    mark, samples = blocks
    guess = guess_binary([one.data for one in samples], mark)
    if guess is not None and guess.keys["form"] == "records":
        count = len(samples[0].data) // (8 * guess.keys["values"])
        guess = _with_count(guess, len(samples[0].data)) if count else guess
    return _tried(guess, samples)


def _with_count(guess: Guess, length: int) -> Guess:
    """A stream needs to know how many records a message has."""
    keys = _KEYS.validate_json(json.dumps(guess.keys))
    assert keys.form == "records"
    return replace(
        guess, keys=guess.keys | {"records": (length - keys.first_byte) // keys.record_bytes}
    )


def _of_topics(heard: HeardStream) -> Draft:
    """Topics with a value each, or the busiest topic of those that hold messages."""
    counts = Counter(sample.topic for sample in heard.samples)
    singles = [topic for topic in counts if _is_single(heard.only([topic]))]
    others = [topic for topic in counts if topic not in singles]
    if singles and (len(singles) > len(others) or not others):
        listed = singles[:MOST_TOPICS]
        notes = _others(others)
        draft = _tried(Guess({"form": "topics"}, listed), heard.only(listed).samples)
        return replace(draft, topics=listed, notes=notes)
    busiest = max(others, key=lambda topic: counts[topic])
    draft = _of_messages(HeardStream(heard.only([busiest]).samples, heard.seconds))
    rest = [topic for topic in counts if topic != busiest]
    return replace(draft, topics=[busiest], notes=_others(rest))


def _others(topics: Sequence[str]) -> list[str]:
    shown = ", ".join(topics[:20]) + (f" and {len(topics) - 20} more" if len(topics) > 20 else "")
    return [f"other topics come too: {shown}"] if topics else []


def _is_single(heard: HeardStream) -> bool:
    """Each message is a number or a word."""
    texts = texts_of(heard.messages)
    return bool(texts) and all(
        len(text) <= 40 and not any(c in text for c in "{}[]=,;\n\t") for text in texts
    )


def _tried(guess: Guess | None, samples: Sequence[StreamSample]) -> Draft:
    """The guess with what it reads."""
    if guess is None:
        return Draft(None, samples)
    made = make_format(_KEYS.validate_json(json.dumps(guess.keys)), guess.fields)
    refused: Counter[str] = Counter()
    times: dict[Field, list[float]] = {key_of(one): [] for one in guess.fields}
    values: dict[Field, list[Raw]] = {key_of(one): [] for one in guess.fields}
    for sample in samples:
        try:
            found = made.decode(sample.data, sample.topic)
        except Refused as error:
            refused[error.reason] += 1
            continue
        for key in times.keys() & found.keys():
            values[key].append(found[key])
            if not sample.is_retained:
                times[key].append(sample.time_s)
    series = [
        FieldSeries(key, times[key], values[key], guess.unsure_fields.get(key, ""))
        for key in times
        if values[key]
    ]
    return Draft(guess, samples, series, refused)
