"""The inputs of all boards as they are now, by place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from panelbridge.config.panel_wires import Place

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
