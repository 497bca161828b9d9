"""What a board's session reports to the engine, in the order in which it came, and its health.

``EdgesArrived`` is not frozen, though nothing changes it: one is made for every edge, and making a
frozen object takes three times as long.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from panelbridge.link.wire import Captured, Edge
from panelbridge.signals import Event


class BoardLive(Struct, frozen=True):
    """The board is set up and reports; its switches are known from here on.

    Attributes:
        contacts: bit map of the contacts, first contact in bit 0, 1 = closed.
        analogues: counts of the analogue inputs.
    """

    contacts: int
    analogues: tuple[int, ...]


class BoardLost(Struct, frozen=True):
    """The board was live and no longer is; its switches are unknown from here on.

    Attributes:
        reason: why, one sentence.
    """

    reason: str


class SwitchesForgotten(Struct, frozen=True):
    """The host was silent; the board is live, but its switches are unknown until their state comes.

    What moved meanwhile is found as after a reconnect: it is no movement of the pilot's.
    """


class EdgesArrived(Struct):
    """Contacts have changed: each edge exactly once, oldest first.

    Attributes:
        edges: the changes.
        contacts: the contacts after them, as in ``BoardLive``.
        analogues: counts of the analogue inputs.
    """

    edges: tuple[Edge, ...]
    contacts: int
    analogues: tuple[int, ...]


class StateArrived(Struct, frozen=True):
    """The state has changed without an edge: an analogue input, or edges that were lost.

    Attributes:
        contacts: as in ``BoardLive``.
        analogues: counts of the analogue inputs.
    """

    contacts: int
    analogues: tuple[int, ...]


SessionOutput = (
    BoardLive | BoardLost | SwitchesForgotten | EdgesArrived | StateArrived | Captured | Event
)


class LinkState(StrEnum):
    """States of a board's link; each is a state of ``LinkChart``."""

    IDLE = "idle"
    """Not started, or stopped."""
    OPENING = "opening"
    """The port is being opened."""
    GREETING = "greeting"
    """The port is open; the board's hello has not come."""
    SETTING_UP = "setting_up"
    """The pin set-up is being sent."""
    LIVE = "live"
    """Reports and commands flow."""
    WAITING = "waiting"
    """The port is missing, busy or lost; the next try comes after the back-off."""
    REFUSED = "refused"
    """The board answers but cannot be used as it is; nothing is commanded."""


class LinkCounts(Struct):
    """Counts of one board's link since the start, over all of its sessions.

    Attributes:
        malformed: frames with a right checksum and a wrong content.
        reconnects: how often the link came back after it had been live.
        edges_lost: switch edges that the board could not hold; the states were right all the same.
        board_errors: frames that the board has refused, modulo 256.
        round_trip_ms: last measured time from a command to the report that names it, ms; None
            until measured.
    """

    malformed: int = 0
    reconnects: int = 0
    edges_lost: int = 0
    board_errors: int = 0
    round_trip_ms: float | None = None


class BoardHealth(Struct, frozen=True):
    """One board's link at one instant.

    Attributes:
        name: the board's name in the panel file.
        kind: kind of board in the panel file.
        url: the port.
        state: state of the link.
        frames_received: good frames from the board since the start.
        frames_sent: frames to the board since the start.
        frame_errors: frames refused at the host since the start.
        board_errors: as in ``LinkCounts``.
        round_trip_ms: as in ``LinkCounts``.
        reconnects: as in ``LinkCounts``.
        edges_lost: as in ``LinkCounts``.
        message: why it is not live and what to do; empty when it is.
        damaged_fraction: share of damaged frames in the last seconds, 0 to 1, as ``LinkQuality``.
        age_s: time since its last report, s; None while it is not live.
        poor: why the link is poor though it is live; empty when it is good.
    """

    name: str
    kind: str
    url: str
    state: LinkState = LinkState.IDLE
    frames_received: int = 0
    frames_sent: int = 0
    frame_errors: int = 0
    board_errors: int = 0
    round_trip_ms: float | None = None
    reconnects: int = 0
    edges_lost: int = 0
    message: str = ""
    damaged_fraction: float = 0.0
    age_s: float | None = None
    poor: str = ""
