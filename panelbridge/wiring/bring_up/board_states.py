"""What is known of the boards: which are live and with which set-up, and what their pins read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from panelbridge.config.panel_wires import Place


class BoardStates:
    """The boards of one panel.

    Attributes:
        lost: why boards are not live, by name.
    """

    def __init__(self) -> None:
        self.lost: dict[str, str] = {}
        self._live: dict[str, str] = {}
        self._without: set[str] = set()

    def live(self, board: str, set_up: str) -> None:
        """A board is live with a set-up."""
        self._live[board] = set_up
        self.lost.pop(board, None)

    def lose(self, board: str, reason: str) -> bool:
        """A board is not live; returns whether it was."""
        self.lost[board] = reason
        return self._live.pop(board, None) is not None

    def wait(self, board: str, reason: str) -> None:
        """Why a board that is not live is still not."""
        if board not in self._live:
            self.lost[board] = reason

    def do_without(self, boards: Iterable[str]) -> None:
        """Go on although these boards are not there."""
        self._without |= {*boards}

    def is_ready(self, board: str, set_up: str) -> bool:
        """Whether a board is live with this set-up."""
        return self._live.get(board) == set_up

    def missing(self, boards: Iterable[str], set_up: str) -> list[str]:
        """The boards that are waited for."""
        return [
            name for name in boards if not self.is_ready(name, set_up) and name not in self._without
        ]


RESTLESS_CHANGES = 12
"""A pin that changes more often than this within ``RESTLESS_S`` floats: nobody moves so fast."""
RESTLESS_S = 2.0


class PinStates:
    """What each watched pin reads.

    Attributes:
        closed: whether each contact pin is connected to ground; None = unknown.
        counts: what each analogue pin reads; None = unknown.
    """

    def __init__(self) -> None:
        self.closed: dict[Place, bool | None] = {}
        self.counts: dict[Place, int | None] = {}
        self._times: dict[Place, list[float]] = {}

    def watch(self, contacts: Mapping[Place, bool], counts: Mapping[Place, int]) -> None:
        """A board is live and reports these."""
        self.closed.update(contacts)
        self.counts.update(counts)

    def forget(self, board: str) -> None:
        """A board is lost, or has another set-up: nothing is known of its pins."""
        for pins in (self.closed, self.counts):
            for place in [one for one in pins if one.board == board]:
                del pins[place]

    def change(self, now_s: float, place: Place, closed: bool) -> bool:
        """A contact pin has changed; returns whether that counts: a pin that floats does not."""
        self.closed[place] = closed
        times = self._times.setdefault(place, [])
        times.append(now_s)
        while times[0] < now_s - RESTLESS_S:
            del times[0]
        return len(times) <= RESTLESS_CHANGES

    def differing(self, board: str, contacts: Mapping[Place, bool]) -> Iterator[tuple[Place, bool]]:
        """The pins of a board whose state is another in ``contacts``."""
        for place, closed in contacts.items():
            if place.board == board and self.closed.get(place) is not closed:
                yield place, closed
