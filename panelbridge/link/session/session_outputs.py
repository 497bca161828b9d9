"""What a board's session reports to the engine, in the order in which it came.

``EdgesArrived`` is not frozen, though nothing changes it: one is made for every edge, and making a
frozen object takes three times as long.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.link.wire import Captured, Edge
from panelbridge.signals import Event


@dataclass(frozen=True, slots=True)
class BoardLive:
    """The board is set up and reports; its switches are known from here on.

    Attributes:
        contacts: bit map of the contacts, first contact in bit 0, 1 = closed.
        analogues: counts of the analogue inputs.
    """

    contacts: int
    analogues: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BoardLost:
    """The board was live and no longer is; its switches are unknown from here on.

    Attributes:
        reason: why, one sentence.
    """

    reason: str


@dataclass(slots=True)
class EdgesArrived:
    """Contacts have changed: each edge exactly once, oldest first.

    Attributes:
        edges: the changes.
        contacts: the contacts after them, as in ``BoardLive``.
        analogues: counts of the analogue inputs.
    """

    edges: tuple[Edge, ...]
    contacts: int
    analogues: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class StateArrived:
    """The state has changed without an edge: an analogue input, or edges that were lost.

    Attributes:
        contacts: as in ``BoardLive``.
        analogues: counts of the analogue inputs.
    """

    contacts: int
    analogues: tuple[int, ...]


SessionOutput = BoardLive | BoardLost | EdgesArrived | StateArrived | Captured | Event
