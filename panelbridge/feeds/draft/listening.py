"""Listens to a transport for some seconds."""

from __future__ import annotations

import select
import threading
from collections.abc import Callable

from panelbridge.clock import Clock
from panelbridge.errors import FeedError
from panelbridge.feeds.draft.samples import HeardStream, StreamSample
from panelbridge.feeds.transports.transport import Transport

_TURN_S = 0.02
MOST_SAMPLES = 20_000
"""Nothing more is kept than these."""


def listen(
    make: Callable[[Callable[[], None]], Transport], seconds: float, clock: Clock
) -> tuple[HeardStream, str]:
    """What came within ``seconds`` of the first piece.

    Args:
        make: makes the transport from what wakes its reader.
        seconds: for how long, s; for the first piece it waits as long as that too.
        clock: real time.

    Returns:
        What was heard, and the name of the transport.

    Raises:
        FeedError: nothing came, or the transport cannot be opened.
    """
    woken = threading.Event()
    transport = make(woken.set)
    samples: list[StreamSample] = []
    begin_s = clock.now()
    transport.open(begin_s)
    try:
        while (now_s := clock.now()) < begin_s + seconds and len(samples) < MOST_SAMPLES:
            arrivals = transport.read(now_s)
            if arrivals and not samples:
                begin_s = now_s
            samples += [StreamSample(now_s, a.data, a.topic, a.is_retained) for a in arrivals]
            if arrivals:
                continue
            filenos = list(transport.filenos())
            if filenos:
                select.select(filenos, [], [], _TURN_S)
            else:
                woken.wait(_TURN_S)
                woken.clear()
        state = transport.health().text
    finally:
        transport.close()
    if not samples:
        hint = "start the simulator and its output, and compare address and port"
        raise FeedError(f"nothing came in {seconds:g} s ({state})", transport.name, hint)
    heard_s = round(min(seconds, samples[-1].time_s - begin_s + _TURN_S), 1)
    return HeardStream(samples, heard_s, transport.is_stream), transport.name
