"""Guesses at text: JSON, sentences with a checksum, names and values, columns."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from panelbridge.feeds.draft.guess import Guess
from panelbridge.feeds.formats.checksums import checked_sentence
from panelbridge.feeds.formats.format import Field, Refused

MOST_FIELDS = 500
"""More fields than these are not listed."""
MOST = 0.9
"""Part of the messages that a guess has to fit."""
_SEPARATORS = (",", ";", "\t", "|", " ")
_EQUALS = ("=", ":", " ", "\t")
_BETWEEN = ("\n", ";", "&", ",", "|", " ")
_NAME = re.compile(r"[A-Za-z_][^\s=:;,&|]{0,59}")
_SENTENCE = re.compile(r"[$!][^*]*\*[0-9A-Fa-f]{2}")


def texts_of(messages: Sequence[bytes]) -> list[str]:
    """The messages as text; none when they are no text."""
    texts = []
    for message in messages:
        try:
            text = message.rstrip(b"\0\r\n").decode()
        except UnicodeDecodeError:
            continue
        if text and all(c.isprintable() or c in "\t\r\n" for c in text):
            texts.append(text)
    return texts if texts and len(texts) >= MOST * len(messages) else []


def guess_text(texts: Sequence[str]) -> Guess | None:
    """The format of texts that come one after another; None when nothing fits."""
    return _json(texts) or _sentences(texts) or _names(texts) or _columns(texts)


def _json(texts: Sequence[str]) -> Guess | None:
    trees = []
    for text in texts:
        try:
            tree = json.loads(text)
        except (ValueError, RecursionError):
            continue
        if isinstance(tree, dict | list):
            trees.append(tree)
    if len(trees) < MOST * len(texts):
        return None
    ways: dict[Field, None] = {}
    for tree in trees:
        ways |= dict.fromkeys(_leaves(tree, ()))
    fields = [way[0] if len(way) == 1 else way for way in ways if isinstance(way, tuple)]
    return Guess({"form": "json"}, fields[:MOST_FIELDS])


def _leaves(tree: Any, way: tuple[str | int, ...]) -> Iterator[tuple[str | int, ...]]:
    if len(way) > 20:
        return
    if isinstance(tree, dict):
        for key, part in tree.items():
            yield from _leaves(part, (*way, key))
    elif isinstance(tree, list):
        for place, part in enumerate(tree):
            yield from _leaves(part, (*way, place))
    elif way:
        yield way


def _sentences(texts: Sequence[str]) -> Guess | None:
    """Columns between ``$`` and a checksum; the first column is the sentence's kind."""
    bodies = []
    for text in texts:
        if _SENTENCE.fullmatch(text):
            try:
                bodies.append(checked_sentence(text))
            except Refused:
                continue
    if len(bodies) < MOST * len(texts):
        return None
    kinds = Counter((body.split(",")[0], body.count(",")) for body in bodies)
    (kind, _), _ = kinds.most_common(1)[0]
    mark = next(text[0] for text in texts if text[1:].startswith(kind))
    guess = _columns([body for body in bodies if body.split(",")[0] == kind])
    if guess is None:
        return None
    others = sorted({other for other, _ in kinds} - {kind})
    only = {"only": f"{mark}{kind},"} if others else {}
    notes = [f"other sentences come too: {', '.join(others[:20])}"] if others else []
    return Guess({**guess.keys, "checksum": "xor", **only}, guess.fields, guess.doubts, {}, notes)


def _names(texts: Sequence[str]) -> Guess | None:
    """Pairs; of several ways to read them the one with the most numbers behind names."""
    best: tuple[int, Guess] | None = None
    for equals in _EQUALS:
        for between in _BETWEEN:
            if between == equals:
                continue
            found = _pairs(texts, equals, between)
            if found is not None and (best is None or found[0] > best[0]):
                best = found
    return best[1] if best is not None else None


def _pairs(texts: Sequence[str], equals: str, between: str) -> tuple[int, Guess] | None:
    names: Counter[str] = Counter()
    fitting = numbers = 0
    for text in texts:
        parts = text.split() if between == " " else text.split(between)
        pairs = [part.strip().split(None if equals == " " else equals, 1) for part in parts]
        pairs = [pair for pair in pairs if pair]
        good = [pair for pair in pairs if len(pair) == 2 and _NAME.fullmatch(pair[0].strip())]
        if not good or len(good) < MOST * len(pairs):
            continue
        fitting += 1
        names.update(pair[0].strip() for pair in good)
        numbers += sum(is_number(pair[1]) for pair in good)
    # Names come again and again, and most of their values are numbers.
    if fitting < MOST * len(texts) or len(names) > MOST_FIELDS or 2 * numbers < names.total():
        return None
    if len(texts) > 2 and len(names) > names.total() / 2:
        return None
    keys: dict[str, Any] = {"form": "names"}
    keys |= {"equals": equals} if equals != "=" else {}
    keys |= {"between": between} if between != "\n" else {}
    return numbers, Guess(keys, list(names))


def is_number(text: str) -> bool:
    """Whether a text is a plain number."""
    try:
        float(text)
    except ValueError:
        return False
    return text.isascii() and "_" not in text


def _columns(texts: Sequence[str]) -> Guess | None:
    best: tuple[float, int, str] | None = None
    for separator in _SEPARATORS:
        counts = Counter(len(_split(text, separator)) for text in texts)
        count, times = max(counts.items(), key=lambda one: (one[1], one[0]))
        if count > 1 and times >= min(MOST * len(texts), len(texts) - 1):
            fit = (times / len(texts), count, separator)
            best = fit if best is None or fit[:2] > best[:2] else best
    if best is None:
        return _single(texts)
    _, count, separator = best
    others = [text for text in texts if len(_split(text, separator)) != count]
    labels = _labels([_split(text, separator) for text in texts], count)
    keys: dict[str, Any] = {"form": "delimited"}
    keys |= {"separator": separator} if separator != "," else {}
    doubts, notes = [], []
    if labels is not None:
        begin, names = labels
        keys |= {"columns": _unique(names), "skip": [begin]}
        notes.append("the names of the columns are those of a message with labels")
    else:
        keys["columns"] = [f"column_{number + 1}" for number in range(count)]
        doubts.append("the simulator sends no names of columns: these are numbered")
    if others and (labels is None or len(others) > 1):
        notes.append(f"{len(others)} messages had another number of columns")
    return Guess(keys, list(keys["columns"]), doubts, {}, notes)


def _single(texts: Sequence[str]) -> Guess | None:
    if not all(is_number(text) for text in texts):
        return None
    doubts = ["each message is one number: nothing says what it is"]
    return Guess({"form": "delimited", "columns": ["column_1"]}, ["column_1"], doubts)


def _split(text: str, separator: str) -> list[str]:
    return text.split() if separator == " " else [part.strip() for part in text.split(separator)]


def _labels(rows: Sequence[list[str]], count: int) -> tuple[str, list[str]] | None:
    """Begin and names of a message that has words where all the others have numbers."""
    data = [row for row in rows if len(row) == count]
    numeric = [
        place
        for place in range(count)
        if sum(is_number(row[place]) for row in data) >= MOST * max(len(data) - 1, 1)
    ]
    if not numeric or len(data) < 3:
        return None
    for row in rows:
        shift = len(row) - count
        if shift in (0, 1) and not any(is_number(row[place + shift]) for place in numeric):
            names = row[shift:]
            if all(names) and row[0]:
                return row[0][:40], names
    return None


def _unique(names: Sequence[str]) -> list[str]:
    """Names of which each stands once: a second ``wow`` is ``wow_2``."""
    found: list[str] = []
    for name in names:
        number, one = 1, name[:190]
        while one in found:
            number += 1
            one = f"{name[:190]}_{number}"
        found.append(one)
    return found
