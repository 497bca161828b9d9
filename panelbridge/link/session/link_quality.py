"""How good a live link is: the share of damaged frames and the round trip, over the last seconds.

Counts since the start say nothing after an hour; a share of the last ``WINDOW_S`` does. A link is
poor from a limit on, and good again only well below it: so each change is one event.
"""

from __future__ import annotations

from collections import deque
from math import inf

WINDOW_S = 10
"""Over so many seconds frames are counted."""
_EACH_S = 1.0
LEAST_FRAMES = 20
"""Fewer frames in the window give no share."""
POOR_FRACTION = 0.05
"""A link is poor when so much of its frames is damaged one way..."""
GOOD_FRACTION = 0.01
"""... and good again when at most this is, both ways, over a whole window."""
SLOW_MS = 250.0
"""A link is poor too when so many round trips in a row take longer than this, ms."""
SLOW_TRIPS = 3
_HINT = "cable, speed, ground?"
_BOARD_COUNT = 256
"""A board counts the frames that it has refused modulo this."""


class LinkQuality:
    """Measures one board's link while it is live.

    Attributes:
        due_s: when ``measure`` next has something to do, s.
        fraction: share of damaged frames, 0 to 1, of the direction that is worse.
        words: why it is poor; empty when it is good.
    """

    def __init__(self) -> None:
        self._totals: deque[tuple[int, int, int, int]] = deque(maxlen=WINDOW_S + 1)
        self._refused = self._last_refused = 0
        self._trips: deque[float] = deque(maxlen=SLOW_TRIPS)
        self.due_s = -inf
        self.fraction = 0.0
        self.words = ""

    def restart(self) -> None:
        """The board was lost: what was counted before says nothing of the new session."""
        self._totals.clear()
        self._trips.clear()
        self._last_refused = 0
        self.due_s, self.fraction, self.words = -inf, 0.0, ""

    def measure(
        self,
        now_s: float,
        received: tuple[int, int],
        sent: int,
        refused: int,
        trip_ms: float | None,
    ) -> bool:
        """Take the counts since the start, about once a second; whether it became poor or good.

        Args:
            now_s: the time, s.
            received: good and damaged frames from the board.
            sent: frames to the board.
            refused: of these, frames that the board has refused in this session, modulo 256.
            trip_ms: the last round trip, ms.
        """
        self.due_s = now_s + _EACH_S
        self._refused += (refused - self._last_refused) % _BOARD_COUNT
        self._last_refused = refused
        self._totals.append((*received, sent, self._refused))
        if trip_ms is not None:
            self._trips.append(trip_ms)
        good, bad, out, lost = (
            new - old for new, old in zip(self._totals[-1], self._totals[0], strict=True)
        )
        from_board = bad / (good + bad) if good + bad >= LEAST_FRAMES else 0.0
        to_board = min(lost / out, 1.0) if out >= LEAST_FRAMES else 0.0
        self.fraction = max(from_board, to_board)
        before, self.words = self.words, self._judge(from_board, to_board)
        return bool(before) is not bool(self.words)

    def _judge(self, from_board: float, to_board: float) -> str:
        if self.fraction > (GOOD_FRACTION if self.words else POOR_FRACTION):
            way = "from" if from_board >= to_board else "to"
            return f"{share_words(self.fraction)} {way} the board are damaged: {_HINT}"
        if len(self._trips) == SLOW_TRIPS and min(self._trips) > SLOW_MS:
            return f"answers take {min(self._trips):.0f} ms and more: wireless, hub, busy computer?"
        return ""


def share_words(fraction: float) -> str:
    """A share of the frames in words: ``half of the frames``, ``8 in 100 frames``."""
    for least, words in (
        (0.85, "nearly all frames"),
        (0.6, "most of the frames"),
        (0.4, "half of the frames"),
        (0.22, "a quarter of the frames"),
    ):
        if fraction >= least:
            return words
    return f"{max(round(fraction * 100), 1)} in 100 frames"
