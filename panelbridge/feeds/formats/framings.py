"""Framings of streams: lines, and blocks of one length."""

from __future__ import annotations

from collections.abc import Callable

LONGEST_LINE = 65_536
"""A longer line is thrown away, bytes."""
MOST_DAMAGED = 32
"""After so many damaged blocks in one feeding the search goes on a block further on."""
OVERLONG, BEFORE_MARK, NOT_WHOLE = "overlong line", "bytes before a mark", "damaged block"


class Lines:
    """Messages that end with a text, by default the line end.

    A stream may begin in the middle of a message: what comes before the first end is dropped, for
    half a number is a number too.

    Args:
        end: what ends a message.
        starts_whole: the stream begins with the start of a message.
        longest: most bytes of a message.
    """

    def __init__(
        self, end: bytes = b"\n", *, starts_whole: bool = False, longest: int = LONGEST_LINE
    ) -> None:
        self.refused: dict[str, int] = {}
        self._end = end
        self._starts_whole = starts_whole
        self._longest = longest
        self._rest = b""
        self._drops = not starts_whole

    def feed(self, data: bytes) -> list[bytes]:
        """The messages that are whole with ``data``, without their ends; no empty ones."""
        parts = (self._rest + data).split(self._end)
        self._rest = parts.pop()
        if self._drops and parts:
            del parts[0]
            self._drops = False
        messages = []
        for part in parts:
            if len(part) > self._longest:
                self._count_overlong()
            elif line := part.rstrip(b"\r"):
                messages.append(line)
        if len(self._rest) > self._longest + len(self._end):
            if not self._drops:
                self._count_overlong()
            # The end itself may be half there.
            self._rest = self._rest[-len(self._end) :]
            self._drops = True
        return messages

    def reset(self) -> None:
        """The stream begins again."""
        self._rest = b""
        self._drops = not self._starts_whole

    def _count_overlong(self) -> None:
        self.refused[OVERLONG] = self.refused.get(OVERLONG, 0) + 1


class Blocks:
    """Messages of one length, which begin with a mark.

    The mark's bytes can stand inside a message too. So where a block's place is not certain it
    counts only when the next mark follows it; that makes it late by one message. With a checksum
    that is not needed. A mark that stands at the same place inside all messages misleads for ever:
    only a longer mark or a checksum helps.

    Args:
        size: length of a message, bytes.
        mark: the bytes that it begins with; none when the stream loses nothing.
        lossy: bytes can get lost on the way, so that a place is never certain.
        check: whether a block is right, by its checksum; None without one.
    """

    def __init__(
        self,
        size: int,
        mark: bytes = b"",
        *,
        lossy: bool = False,
        check: Callable[[bytes], bool] | None = None,
    ) -> None:
        self.refused: dict[str, int] = {}
        self._size = size
        self._mark = mark
        self._lossy = lossy
        self._check = check
        self._rest = b""
        self._certain = not lossy

    def feed(self, data: bytes) -> list[bytes]:
        """The messages that are whole with ``data``."""
        rest, mark, size = self._rest + data, self._mark, self._size
        messages: list[bytes] = []
        at = damaged = 0
        while True:
            start = rest.find(mark, at)
            if start != at and at < len(rest):
                start = start if start >= 0 else max(at, len(rest) - len(mark) + 1)
                self._lose(start - at)
                at = start
            end = at + size
            needs_next = bool(mark) and self._check is None and not self._certain
            if len(rest) < end + len(mark) * needs_next:
                break
            if (needs_next and not rest.startswith(mark, end)) or (
                self._check is not None and not self._check(rest[at:end])
            ):
                self._count(NOT_WHOLE, 1)
                self._certain = False
                damaged += 1
                # A stream that is made of marks must not cost a check for each of its bytes.
                at += 1 if mark and (needs_next or damaged < MOST_DAMAGED) else size
                continue
            messages.append(rest[at:end])
            self._certain = not self._lossy
            at = end
        self._rest = rest[at:]
        return messages

    def reset(self) -> None:
        """The stream begins again."""
        self._rest = b""
        self._certain = not self._lossy

    def _lose(self, count: int) -> None:
        if count:
            self._count(BEFORE_MARK, count)
            self._certain = False

    def _count(self, reason: str, count: int) -> None:
        self.refused[reason] = self.refused.get(reason, 0) + count
