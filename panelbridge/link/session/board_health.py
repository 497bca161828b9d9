"""How a board's link is doing, as screens and records show it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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


@dataclass(slots=True)
class LinkCounts:
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


@dataclass(frozen=True, slots=True)
class BoardHealth:
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
