"""What is counted of a board's link over all of its sessions."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.link.session.live_dialogue import LiveDialogue


@dataclass(slots=True)
class Tally:
    """Counts of one board since the start.

    Attributes:
        misfits: frames with a right checksum and a wrong content.
        reconnects: how often the link came back after it had been live.
        edges_lost: edges that the board could not hold.
        board_errors: frames that the board says it refused, modulo 256.
        round_trip_ms: last measured round trip, None until measured.
        was_live: the board has been live at least once.
    """

    misfits: int = 0
    reconnects: int = 0
    edges_lost: int = 0
    board_errors: int = 0
    round_trip_ms: float | None = None
    was_live: bool = False

    def with_session(self, live: LiveDialogue | None) -> Tally:
        """These counts and those of the session that runs now, if one does."""
        if live is None:
            return self
        measured = live.round_trip_ms
        return Tally(
            misfits=self.misfits + live.misfits,
            reconnects=self.reconnects,
            edges_lost=self.edges_lost + live.edges_lost,
            board_errors=live.board_errors,
            round_trip_ms=self.round_trip_ms if measured is None else measured,
            was_live=self.was_live,
        )
