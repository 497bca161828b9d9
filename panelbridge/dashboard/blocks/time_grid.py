"""The last minute in equal parts: the sample for each, or the samples in each."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from panelbridge.dashboard.history import EACH_S, SPAN_S, ShownMoment

_GAP_S = 3 * EACH_S
"""A sample stands for no longer than this, s."""


@lru_cache(maxsize=128)
def numbers_of(samples: tuple[ShownMoment, ...], name: str) -> Sequence[float | None]:
    """A number in each sample."""
    return [sample.number(name) for sample in samples]


@lru_cache(maxsize=8)
def on_grid(samples: tuple[ShownMoment, ...], columns: int) -> Sequence[int | None]:
    """The place of the sample for each of ``columns`` instants of the last minute; None: no sample.

    Every trend of a page stands on the same grid.
    """
    found: list[int | None] = []
    if not samples:
        return [None] * columns
    end_s = samples[-1].time_s
    at = 0
    for column in range(columns):
        time_s = end_s - SPAN_S * (columns - 1 - column) / max(columns - 1, 1)
        while at + 1 < len(samples) and samples[at + 1].time_s <= time_s:
            at += 1
        sample = samples[at]
        near = sample.time_s <= time_s < sample.time_s + _GAP_S
        found.append(at if near else None)
    return found


def in_slots(samples: Sequence[ShownMoment], columns: int) -> list[list[ShownMoment]]:
    """The samples in each of ``columns`` spans of the last minute; every sample is in one.

    A span without a sample of its own has the one before it, as long as that stands for it.
    """
    found: list[list[ShownMoment]] = [[] for _ in range(columns)]
    if not samples or not found:
        return found
    begin_s = samples[-1].time_s - SPAN_S
    for sample in samples:
        at = int((sample.time_s - begin_s) / SPAN_S * columns)
        found[min(max(at, 0), columns - 1)].append(sample)
    before: ShownMoment | None = None
    for at, slot in enumerate(found):
        end_s = begin_s + SPAN_S * (at + 1) / columns
        if not slot and before is not None and end_s < before.time_s + _GAP_S:
            slot.append(before)
        before = slot[-1] if slot else before
    return found
