"""What a run has made by its start stays: the garbage collector need not look at it again."""

from __future__ import annotations

import gc

_YOUNG = 10_000
"""So many more objects made than freed start a collection; they are freed by their counts, for
next to none of them is in a cycle."""


def spare_collections() -> None:
    """Call once all is loaded.

    Otherwise the collector walks through every module, class and file model again and again, and
    the engine waits meanwhile, for tenths of a second.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(_YOUNG, 20, 20)
