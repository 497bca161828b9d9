"""A draft as the text of a feed file, with what was seen in comments."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from panelbridge.feeds.draft.draft import Draft
from panelbridge.feeds.draft.guess import FieldSeries, Guess
from panelbridge.feeds.draft.samples import HeardStream, rate_hz
from panelbridge.feeds.draft.value_guess import ValueGuess, guess_value
from panelbridge.printing import clean_line

_LISTS = ("columns", "fields")
"""Keys of a format that list its fields: each has a line with what was seen of it."""


def draft_text(draft: Draft, heard: HeardStream, receive: Mapping[str, Any], name: str) -> str:
    """The feed file.

    Args:
        draft: what was found out.
        heard: what was heard.
        receive: the keys of ``receive:``.
        name: for people: the medium and its address.
    """
    return "\n".join([*_head(draft, heard, receive, name), *_body(draft), ""])


def _head(draft: Draft, heard: HeardStream, receive: Mapping[str, Any], name: str) -> Iterator[str]:
    yield f"# A draft, made by 'panelbridge feed-draft' from {heard.seconds:g} s of {name}."
    yield "# What is marked as a guess may be wrong: compare it with what the simulator shows."
    yield "# 'panelbridge check' says what is missing."
    yield "kind: feed"
    yield "format: 2"
    yield f"name: {_inline(f'draft from {name}'[:60])}"
    yield "source: link"
    rate = _message_rate(draft)
    stale_s = min(max(round(10.0 / rate, 1), 0.5), 60.0) if rate else 2.0
    yield f"stale_after_s: {stale_s}  # guess: ten messages late"
    topics = {"topics": list(draft.topics)} if draft.topics else {}
    yield f"receive: {_inline({**receive, **topics})}"
    yield f"# {len(draft.messages)} messages came, {_rate_text(rate)}"
    for reason, count in draft.refused.most_common():
        yield f"# {count} of them cannot be read: {reason}"
    for note in (*draft.notes, *(draft.guess.notes if draft.guess else ())):
        yield f"# {clean_line(note)}"


def _body(draft: Draft) -> Iterator[str]:
    guess = draft.guess
    if guess is None:
        yield "# UNSURE: no format fits. Some messages, as bytes in hexadecimal digits:"
        for sample in draft.messages[:5]:
            yield f"#   {len(sample.data)} bytes: {sample.data[:60].hex(' ')}"
        yield "# message: { form: ... }  # delimited, names, json, binary, records or topics"
        return
    for doubt in guess.doubts:
        yield f"# UNSURE: {clean_line(doubt)}"
    yield "message:"
    by_field = {one.at: one for one in draft.series}
    for key, value in guess.keys.items():
        if key in _LISTS:
            yield f"  {key}:"
            for entry in value:
                at = entry["name"] if isinstance(entry, dict) else entry
                yield f"    - {_inline(entry)}  # {_seen(by_field.get(at))}"
        else:
            yield f"  {key}: {_inline(value)}"
    yield from _values(draft, guess)


def _values(draft: Draft, guess: Guess) -> Iterator[str]:
    guessed: dict[str, tuple[ValueGuess, FieldSeries]] = {}
    for series in draft.series:
        value = guess_value(series)
        if value is not None:
            guessed.setdefault(value.name, (value, series))
    used = [id(series) for _, series in guessed.values()]
    yield "values:" if guessed else "# values:  # which value of the aircraft is which field"
    for value, series in guessed.values():
        unit = f", unit: {value.unit}" if value.unit else ""
        extra = f", {value.extra}" if value.extra else ""
        line = f"  {value.name}: {{ at: {_inline(series.at)}{unit}{extra} }}"
        doubt = f"; UNSURE: {value.doubt}" if value.doubt else ""
        yield f"{line}  # guess, by its name: {_seen(series)}{doubt}"
    rest = [series for series in draft.series if id(series) not in used]
    if rest and not any(key in guess.keys for key in _LISTS):
        yield "# What else comes:"
        for series in rest:
            yield f"#   at: {_inline(series.at)}  # {_seen(series)}"
    if not guessed:
        yield "#   airspeed_kias: { at: ..., unit: kt }"


def _seen(series: FieldSeries | None) -> str:
    """What was seen of a field: its numbers or words, how often, and doubts."""
    if series is None:
        return "never a value"
    numbers = series.numbers
    if series.words and not numbers:
        words = [clean_line(word)[:20] for word in series.words]
        text = f"words: {', '.join(words[:8])}{', ...' * (len(words) > 8)}"
    elif not numbers:
        text = "numbers and words"
    elif series.is_constant:
        text = f"always {_number(numbers[0])}"
    else:
        text = f"{_number(min(numbers))} to {_number(max(numbers))}"
    text += f", {_rate_text(rate_hz(series.times_s))}"
    return text + (f"; GUESS: {series.doubt}" if series.doubt else "")


def _number(value: float) -> str:
    return f"{value:.6g}"


def _message_rate(draft: Draft) -> float | None:
    """How often a message comes; with topics, how often that of the slowest one does."""
    if not draft.topics:
        return rate_hz([one.time_s for one in draft.messages])
    rates = [rate_hz(one.times_s) for one in draft.series]
    known = [rate for rate in rates if rate]
    return min(known) if known else None


def _rate_text(rate: float | None) -> str:
    if rate is None:
        return "too seldom for a rate"
    return f"about {round(rate) if rate >= 10 else round(rate, 1):g} a second"


def _inline(value: Any) -> str:
    """A value in one line of YAML."""
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key}: {_inline(one)}' for key, one in value.items())} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(_inline(one) for one in value)}]"
    if isinstance(value, str):
        return _plain_or_quoted(value)
    return json.dumps(value)


_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_")
_TAKEN = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null"})


def _plain_or_quoted(text: str) -> str:
    is_plain = text[:1].isalpha() and _PLAIN.issuperset(text) and text.casefold() not in _TAKEN
    return text if is_plain else json.dumps(text, ensure_ascii=not text.isprintable())
