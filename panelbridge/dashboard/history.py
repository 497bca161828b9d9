"""The last minute of what the screen was shown: samples, for trends and strips.

It remembers and judges nothing. A horn that sounded, or a link that was lost, between two samples
is in the later one.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from enum import IntEnum
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.dashboard.board_states import lost_boards
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from panelbridge.signals import AircraftState, HornPattern, Value

SPAN_S = 60.0
EACH_S = 0.5
DRAWN_EACH_S = 1.0
"""Period in which trends go on: a dot of theirs is about as wide, s."""


class LinkLook(IntEnum):
    """The worst link of all boards; a larger number is worse."""

    LIVE = 0
    POOR = 1
    """Every board is live, and frames are damaged or late."""
    STARTING = 2
    """A board has not been live yet."""
    LOST = 3


class ShownMoment(Struct, frozen=True, eq=False):
    """What was at one instant; None is unknown. Compared by identity: drawings are kept by it.

    Attributes:
        time_s: of the run's clock.
        aircraft: as the feed reported it.
        legs: names of the legs' travels among the values.
        values: that the systems published, and the travel of each leg, 0 (up) to 1 (down).
        gauges: value of each gauge, by name.
        horn: it sounded.
        lamps: names of the lamps that were lit.
        link: of the boards.
        fresh: the feed's data could be trusted.
    """

    time_s: float
    aircraft: AircraftState
    legs: tuple[str, ...]
    values: Mapping[str, Value]
    gauges: Mapping[str, float]
    horn: bool
    lamps: frozenset[str]
    link: LinkLook
    fresh: bool

    @property
    def travels(self) -> list[float | None]:
        """Travel of each leg."""
        return [self.number(name) for name in self.legs]

    def number(self, name: str) -> float | None:
        """A number by name: a value of a system, a gauge's, or one of the aircraft's own."""
        value = self.values.get(name)
        if value is None:
            value = self.gauges.get(name)
        if value is None:
            value = getattr(self.aircraft, name, None)
        return float(value) if isinstance(value, (int, float)) else None


class History:
    """Takes snapshots, keeps a sample every ``EACH_S``.

    Attributes:
        samples: the oldest first, of the last ``SPAN_S``.
        drawn: the same as trends show them.
    """

    def __init__(self) -> None:
        self.samples: tuple[ShownMoment, ...] = ()
        self.drawn: tuple[ShownMoment, ...] = ()
        self._kept: deque[ShownMoment] = deque(maxlen=round(SPAN_S / EACH_S) + 1)
        self._horn, self._link, self._fresh = False, LinkLook.LIVE, True

    def remember(self, samples: Sequence[ShownMoment]) -> None:
        """Go on from earlier samples."""
        self._kept.extend(samples)
        self.samples = self.drawn = tuple(self._kept)

    def take(self, snapshot: Snapshot) -> None:
        """Take a snapshot; a time that runs backwards is another run."""
        if not snapshot.boards:
            return
        if self._kept and snapshot.time_s < self._kept[-1].time_s:
            self._kept.clear()
            self._horn, self._link, self._fresh = False, LinkLook.LIVE, True
        self._horn = self._horn or snapshot.outputs.horn is not HornPattern.SILENT
        self._link = max(self._link, link_look(snapshot))
        self._fresh = self._fresh and snapshot.feed_fresh
        if self._kept and snapshot.time_s < self._kept[-1].time_s + EACH_S:
            return
        sample = moment_of(snapshot)
        self._kept.append(replace(sample, horn=self._horn, link=self._link, fresh=self._fresh))
        self._horn, self._link, self._fresh = False, LinkLook.LIVE, True
        while self._kept[0].time_s < sample.time_s - SPAN_S:
            self._kept.popleft()
        self.samples = tuple(self._kept)
        drawn_s = self.drawn[-1].time_s if self.drawn else -inf
        if not 0.0 <= sample.time_s - drawn_s < DRAWN_EACH_S:
            self.drawn = self.samples


def moment_of(snapshot: Snapshot) -> ShownMoment:
    """What a snapshot says."""
    legs = snapshot.logic.legs
    travels = {f"{leg.name}_travel": leg.travel_fraction for leg in legs}
    return ShownMoment(
        snapshot.time_s,
        snapshot.aircraft,
        tuple(travels),
        {**snapshot.logic.values, **travels},
        snapshot.outputs.gauges,
        snapshot.outputs.horn is not HornPattern.SILENT,
        frozenset(name for name, level in snapshot.outputs.lamps.items() if level),
        link_look(snapshot),
        snapshot.feed_fresh,
    )


def link_look(snapshot: Snapshot) -> LinkLook:
    """The worst link of a snapshot."""
    if lost_boards(snapshot.boards):
        return LinkLook.LOST
    if any(board.state is not LinkState.LIVE for board in snapshot.boards):
        return LinkLook.STARTING
    return LinkLook.POOR if any(board.poor for board in snapshot.boards) else LinkLook.LIVE
