"""Guesses at binary messages: mark, checksum, records, and a layout of numbers."""

from __future__ import annotations

import struct
from collections import Counter
from collections.abc import Sequence
from itertools import product
from typing import Any, get_args

from panelbridge.config.links.formats import NumberType, number_bytes
from panelbridge.feeds.draft.guess import Guess
from panelbridge.feeds.draft.number_types import Fit, fit_of
from panelbridge.feeds.formats.checksums import BinaryCheck, binary_check
from panelbridge.feeds.formats.format import Field
from panelbridge.feeds.formats.numbers import LETTERS

LONGEST = 600
"""Longer messages are not taken apart, bytes."""
MOST_LOOKED_AT = 120
"""Most messages that are looked at for a type."""
_ORDERS = (("little", "<"), ("big", ">"))
_TYPES: tuple[NumberType, ...] = (
    *("float32", "float64", "uint8", "int8", "int16", "uint16", "int32", "uint32", "int64"),
)
_PER_FIELD = 0.15
"""What each further field costs, so that few large ones win over many small ones."""
_PER_MARK_BYTE, _PER_LETTER = 0.45, 0.6
"""What a steady byte counts as a part of the mark: more than alone, less than in a good number."""
_RECORD_IDS: tuple[NumberType, ...] = ("int32", "uint16", "uint8")
_GREATEST_RECORD = 100_000


def guess_binary(messages: Sequence[bytes], mark: bytes | None = None) -> Guess | None:
    """The format of messages that are whole; None when they have no pattern.

    Args:
        messages: of one length each, or records.
        mark: what they begin with, when that is known.
    """
    if len(messages) < 3 or max(map(len, messages)) > LONGEST:
        return None
    looked_at = messages[:: max(len(messages) // MOST_LOOKED_AT, 1)]
    if mark is None:
        mark = _common_start(messages)
    mark = longest_mark(mark)
    records = _records(messages, mark)
    if records is not None:
        return records
    (length, times), *_ = Counter(map(len, messages)).most_common(1)
    if times < 0.9 * len(messages):
        return None
    return _layout([one for one in looked_at if len(one) == length], mark, length)


def _common_start(messages: Sequence[bytes]) -> bytes:
    """What all messages begin with: the longest mark that there can be."""
    first, last = min(messages), max(messages)
    pairs = enumerate(zip(first, last, strict=False))
    return first[: min(next((place for place, (a, b) in pairs if a != b), len(first)), 8)]


def longest_mark(start: bytes) -> bytes:
    """What of steady bytes at the start can be a mark: letters, or bytes that are not 0 or 1."""
    letters = next((n for n, byte in enumerate(start) if not chr(byte).isalnum()), len(start))
    if letters >= 2 and start[:letters].isascii():
        return start[:letters]
    high = next((n for n, byte in enumerate(start[:4]) if byte in (0, 1)), min(len(start), 4))
    return start[:high] if high >= 2 else b""


def mark_keys(mark: bytes) -> dict[str, Any]:
    """A mark as keys of a feed file."""
    if not mark:
        return {}
    if mark.isascii() and mark.decode().isprintable():
        return {"starts_with": mark.decode()}
    return {"starts_with_bytes": list(mark)}


def _records(messages: Sequence[bytes], mark: bytes) -> Guess | None:
    """Numbered records: the numbers are small, differ in a message and come again in others."""
    best: tuple[float, Guess] | None = None
    headers = (0, *range(len(mark), len(mark) + 9))
    forms = product(_ORDERS, headers, _RECORD_IDS, ("float32", "float64"), range(1, 17))
    for (order, sign), header, id_type, value_type, values in forms:
        size = number_bytes(id_type) + values * number_bytes(value_type)
        if any((len(one) - header) % size for one in messages):
            continue
        # Small numbers are there by chance more often.
        least = 2 if id_type == "int32" else 3
        if max(len(one) - header for one in messages) < least * size:
            continue
        form: dict[str, Any] = {"id": id_type, "values": values, "type": value_type}
        fit = _records_fit(messages, header, sign, form)
        if fit is None or (best is not None and fit[0] <= best[0]):
            continue
        start = mark if header >= len(mark) else b""
        keys = {"form": "records", **mark_keys(start), "order": order}
        keys |= {"header_bytes": header} if header > len(start) else {}
        best = fit[0], Guess(keys | form, fit[1])
    return best[1] if best is not None else None


def _records_fit(
    messages: Sequence[bytes], header: int, sign: str, form: dict[str, Any]
) -> tuple[float, list[Field]] | None:
    one = struct.Struct(sign + LETTERS[form["id"]] + LETTERS[form["type"]] * form["values"])
    by_id: dict[int, list[bytes]] = {}
    for message in messages[:MOST_LOOKED_AT]:
        ids = [record[0] for record in one.iter_unpack(message[header:])]
        if len(set(ids)) < len(ids) or not all(0 <= i < _GREATEST_RECORD for i in ids):
            return None
        for place, number in enumerate(ids):
            start = header + place * one.size
            by_id.setdefault(number, []).append(message[start : start + one.size])
    if len(by_id) < 2 or len(by_id) > 200 or any(len(found) < 3 for found in by_id.values()):
        return None
    first = number_bytes(form["id"])
    width = number_bytes(form["type"])
    fits: list[Fit] = []
    for found in by_id.values():
        for place in range(form["values"]):
            fit = fit_of(form["type"], sign, found, first + place * width)
            if fit is None:
                return None
            fits.append(fit)
    score = sum(fit.score * width for fit in fits) / len(by_id) / one.size
    if not any(fit.score >= 0.8 for fit in fits):
        return None
    fields: list[Field] = [(number, p) for number in sorted(by_id) for p in range(form["values"])]
    return score, fields


def _layout(messages: Sequence[bytes], mark: bytes, size: int) -> Guess:
    doubts: list[str] = []
    best: tuple[float, str, bytes, _Split, BinaryCheck | None] | None = None
    for order, sign in _ORDERS:
        check = _checksum(messages, order)
        end = size - {None: 0, "crc16_ccitt": 2, "xor8": 1, "sum8": 1}[check]
        scores, choices = _best_split(messages, sign, end)
        for length in {0 if len(mark) < 2 else 2, *range(2, len(mark) + 1)}:
            each = _PER_LETTER if mark[:length].isalnum() else _PER_MARK_BYTE
            score = scores[length] + each * length
            if best is None or score > best[0] + 1e-9:
                best = score, order, mark[:length], _split_from(choices, length, end), check
    assert best is not None
    _, order, mark, split, check = best
    if all(number_bytes(type_) == 1 for _, type_, _ in split):
        doubts.append("the order of the bytes does not show")
    if len({bytes(one) for one in messages}) < 2:
        doubts.append("all messages were the same: let the aircraft move, and try again")
    keys: dict[str, Any] = {"form": "binary", **mark_keys(mark), "order": order}
    keys["fields"] = [{"name": f"byte_{at}", "type": type_} for at, type_, _ in split]
    keys |= {"checksum": check} if check else {}
    unsure: dict[Field, str] = {f"byte_{at}": fit.doubt for at, _, fit in split if fit.doubt}
    return Guess(keys, [f"byte_{at}" for at, _, _ in split], doubts, unsure)


def _checksum(messages: Sequence[bytes], order: str) -> BinaryCheck | None:
    """A checksum that fits all messages, which are not all the same."""
    if len(set(messages)) < 3:
        return None
    for kind in get_args(BinaryCheck):
        check = binary_check(kind, "little" if order == "little" else "big")
        if all(check(message) for message in messages):
            found: BinaryCheck = kind
            return found
    return None


_Split = list[tuple[int, NumberType, Fit]]


def _best_split(
    messages: Sequence[bytes], sign: str, end: int
) -> tuple[dict[int, float], dict[int, tuple[NumberType, Fit]]]:
    """From each byte to ``end`` the best score, and the type there, by dynamic programming."""
    scores: dict[int, float] = {end: 0.0}
    choices: dict[int, tuple[NumberType, Fit]] = {}
    for at in range(end - 1, -1, -1):
        for type_ in _TYPES:
            after = at + number_bytes(type_)
            if after > end:
                continue
            fit = fit_of(type_, sign, messages, at)
            if fit is None:
                continue
            score = scores[after] + fit.score * number_bytes(type_) - _PER_FIELD
            if at not in scores or score > scores[at] + 1e-9:
                scores[at] = score
                choices[at] = type_, fit
    return scores, choices


def _split_from(choices: dict[int, tuple[NumberType, Fit]], start: int, end: int) -> _Split:
    split: _Split = []
    at = start
    while at < end:
        type_, fit = choices[at]
        split.append((at, type_, fit))
        at += number_bytes(type_)
    return split
