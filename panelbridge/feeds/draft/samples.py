"""What was heard of an unknown stream, with the time of each piece."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace


class StreamSample(Struct, frozen=True):
    """Bytes that came at one time: a whole message, or a part of a stream.

    Attributes:
        time_s: when.
        data: what.
        topic: where it was published, on a medium with topics.
        is_retained: it was kept by a broker from before.
    """

    time_s: float
    data: bytes
    topic: str = ""
    is_retained: bool = False


class HeardStream(Struct, frozen=True):
    """All that was heard.

    Attributes:
        samples: in the order of their times.
        seconds: for how long was listened, s.
        is_stream: samples are parts of a stream.
    """

    samples: Sequence[StreamSample]
    seconds: float
    is_stream: bool = False

    def only(self, topics: Sequence[str]) -> HeardStream:
        """What came at some topics alone."""
        return replace(self, samples=[one for one in self.samples if one.topic in topics])

    @property
    def messages(self) -> list[bytes]:
        """The data alone."""
        return [one.data for one in self.samples]


def rate_hz(times_s: Sequence[float]) -> float | None:
    """How often something came; None when it came less than twice."""
    if len(times_s) < 2 or times_s[-1] <= times_s[0]:
        return None
    return (len(times_s) - 1) / (times_s[-1] - times_s[0])
