"""Guesses at how a stream is cut up: lines, another end, or blocks of one length."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from panelbridge.feeds.draft.samples import HeardStream, StreamSample
from panelbridge.feeds.draft.text_guess import texts_of

_ENDS = ("\n", "\r", ";", "\0", "> ", "|")
_LONGEST_BLOCK = 600
_LEAST_ALIKE = 0.8
"""So many messages must be like each other before an end counts as one."""


def lines_of(heard: HeardStream) -> tuple[str, list[StreamSample]] | None:
    """What ends the messages of a stream of text, and the messages; None when it is no text."""
    data = b"".join(heard.messages)
    # Bytes that are no text at its ends alone are a start in the middle of a character.
    if not texts_of([part for part in data.split(b"\n") if part.strip(b"\0\r ")]):
        return None
    for end in _ENDS:
        messages = _cut(heard, end.encode())
        if len(messages) >= 3 and len(texts_of([one.data for one in messages])) >= 3:
            return end, messages
    return None


def _cut(heard: HeardStream, end: bytes) -> list[StreamSample]:
    """The messages with the time at which each was whole, without the first, which may be half."""
    messages: list[StreamSample] = []
    rest = b""
    for sample in heard.samples:
        *parts, rest = (rest + sample.data).split(end)
        messages += [StreamSample(sample.time_s, part.strip(b"\r")) for part in parts]
    return [one for one in messages[1:] if one.data.strip()]


def blocks_of(heard: HeardStream) -> tuple[bytes, list[StreamSample]] | None:
    """The mark and the messages of a stream of blocks; None when it has no period."""
    data = b"".join(heard.messages)[:200_000]
    size = _period(data)
    if size is None:
        return None
    steady = [
        place
        for place in range(size)
        if Counter(data[place::size]).most_common(1)[0][1] >= _LEAST_ALIKE * len(data[place::size])
    ]
    start = _start(heard.samples, data, size, steady)
    if start is None:
        return None
    length = 0
    usual = [Counter(data[place::size]).most_common(1)[0][0] for place in range(size)]
    while length < min(8, size) and (start + length) % size in steady:
        length += 1
    mark = bytes(usual[(start + n) % size] for n in range(length))
    messages = []
    times = [sample.time_s for sample in heard.samples for _ in sample.data]  # of each byte
    at = data.find(mark) if mark else start
    while 0 <= at <= len(data) - size:
        if data.startswith(mark, at):
            messages.append(StreamSample(times[at + size - 1], data[at : at + size]))
            at += size
        else:
            at = data.find(mark, at + 1)
    return (mark, messages) if len(messages) >= 3 else None


def _period(data: bytes) -> int | None:
    """The distance at which bytes are most often the same."""
    best, size = 0.0, None
    for distance in range(4, min(_LONGEST_BLOCK, len(data) // 4) + 1):
        count = min(len(data) - distance, 6000)
        same = sum(map(int.__eq__, data[:count], data[distance : distance + count])) / count
        if same > best + 0.03:
            best, size = same, distance
    return size if best > 0.15 else None


def _start(
    samples: Sequence[StreamSample], data: bytes, size: int, steady: Sequence[int]
) -> int | None:
    """Where messages begin: where pieces begin, else where the longest run of steady bytes does."""
    begins: Counter[int] = Counter()
    at = 0
    for sample in samples:
        begins[at % size] += 1
        at += len(sample.data)
        if at >= len(data):
            break
    if begins:
        (place, times), *_ = begins.most_common(1)
        if times > 0.6 * begins.total() and times >= 3 and place in steady:
            return place
    fixed, runs = set(steady), []
    for place in steady:
        if (place - 1) % size not in fixed:
            length = 0
            while (place + length) % size in fixed and length < size:
                length += 1
            values = {data[(place + n) % size] for n in range(length)}
            runs.append((len(values - {0}), length, -place))
    return -max(runs)[2] if runs else None
