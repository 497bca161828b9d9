"""How long a contact bounces, and which debounce time follows from it.

Measured bursts of 16 switches: 1.557 ms on average, 6.2 ms at most (J. Ganssle, A Guide to
Debouncing); other switches bounce for hundreds of milliseconds, so each is measured. 20 to 50 ms
are the usual advice, and up to some 50 ms feels instant (the same guide, from memory, not read).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from msgspec import Struct

from panelbridge.config.panel_parts.switch_entries import DebounceMode
from panelbridge.link.wire import MAX_CAPTURE_TIMES, Captured

WINDOW_MS = 100
"""Window of a raw capture: a hand keeps a switch in place longer than this."""
MARGIN = 2.0
"""A debounce time that is proposed is so many times the longest burst: contacts wear."""
KEPT_MARGIN = 1.5
"""The file's own time is kept while it is so many times the longest burst: strokes differ."""
LEAST_MS = 10
"""No shorter debounce time is asked for: the bursts of Ganssle's switches pass within it."""
USUAL_MS = 20
INSTANT_MS = 50
LONGEST_MS = 500
"""The longest debounce time that a panel file can have."""


def burst_ms(changes: Captured) -> float | None:
    """Length of a captured burst, ms; None when the contact came back: that was no stroke.

    When there were more changes than times, the rest is taken to have gone on as fast.
    """
    if changes.changes % 2 == 0 or not changes.times_us:
        return None
    length_us = float(changes.times_us[-1])
    if changes.changes > MAX_CAPTURE_TIMES:
        length_us *= changes.changes / MAX_CAPTURE_TIMES
    length_us = min(length_us, WINDOW_MS * 1000.0)
    resolution_us = changes.resolution_us if changes.changes > 1 else 0
    return (length_us + resolution_us) / 1000.0


class BounceAdvice(Struct, frozen=True):
    """What should be written for a contact."""

    debounce_ms: int
    mode: DebounceMode
    because: str


def needed_ms(bursts_ms: Sequence[float]) -> int:
    """The shortest debounce time that has a margin over these bursts, ms, in steps of 5."""
    return max(LEAST_MS, 5 * ceil(MARGIN * max(bursts_ms) / 5))


def advise(filed_ms: int, mode: DebounceMode, bursts_ms: Sequence[float]) -> BounceAdvice | None:
    """A better debounce time than the file's; None when that one is good."""
    needed = needed_ms(bursts_ms)
    is_short = filed_ms < max(LEAST_MS, KEPT_MARGIN * max(bursts_ms))
    because = f"it bounces for up to {max(bursts_ms):.1f} ms"
    if needed > LONGEST_MS:
        return None
    if mode == "report_first":
        return BounceAdvice(needed, mode, because) if is_short else None
    if is_short and needed > INSTANT_MS:
        because += "; waiting for quiet would be felt, so it counts at once"
        return BounceAdvice(needed, "report_first", because)
    if is_short:
        return BounceAdvice(max(needed, USUAL_MS), mode, because)
    if filed_ms > INSTANT_MS >= needed:
        because += f" only, and {filed_ms} ms are felt as a delay"
        return BounceAdvice(max(needed, USUAL_MS), mode, because)
    return None


def bounce_text(bursts_ms: Sequence[float], filed_ms: int) -> str:
    """The measurement as a sentence."""
    count = len(bursts_ms)
    return (
        f"bounces for {max(bursts_ms):.1f} ms at most, {sum(bursts_ms) / count:.1f} ms on average "
        f"({count} strokes); debounce time {filed_ms} ms"
    )
