"""What a snapshot says of a run that is a show: how its time passes, and what is broken in it."""

from __future__ import annotations

from msgspec import Struct


class ShowState(Struct, frozen=True):
    """How a run's time passes, and what was broken on purpose.

    Attributes:
        is_paused: time stands still.
        rate: seconds of the run in a real second.
        jumping_to: the phase that is being flown to, as fast as the machine can; empty = none.
        phase: index of the phase of the flight; -1 = the feed has none.
        broken: what is broken, in words, in the order in which it was.
    """

    is_paused: bool = False
    rate: float = 1.0
    jumping_to: str = ""
    phase: int = -1
    broken: tuple[str, ...] = ()


NO_SHOW = ShowState()
