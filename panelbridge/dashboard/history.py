"""The last minute of what the screen was shown: samples, for trends and strips.

It remembers and judges nothing. A horn that sounded between two samples is in the later one.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from panelbridge.signals import HornPattern

SPAN_S = 60.0
EACH_S = 0.5


@dataclass(frozen=True, slots=True)
class ShownMoment:
    """What was at one instant; None is unknown.

    Attributes:
        time_s: of the run's clock.
        airspeed_kias: knots.
        travels: of each leg, 0 (up) to 1 (down).
        gauges: value of each gauge, by name.
        horn: it sounded.
        lamps: names of the lamps that were lit.
        link: every board was live.
    """

    time_s: float
    airspeed_kias: float | None
    travels: tuple[float | None, ...]
    gauges: tuple[tuple[str, float], ...]
    horn: bool
    lamps: frozenset[str]
    link: bool


class History:
    """Takes snapshots, keeps a sample every ``EACH_S``.

    Attributes:
        samples: the oldest first, of the last ``SPAN_S``.
    """

    def __init__(self) -> None:
        self.samples: Sequence[ShownMoment] = ()
        self._kept: deque[ShownMoment] = deque(maxlen=round(SPAN_S / EACH_S) + 1)
        self._horn = False

    def remember(self, samples: Sequence[ShownMoment]) -> None:
        """Go on from earlier samples."""
        self._kept.extend(samples)
        self.samples = tuple(self._kept)

    def take(self, snapshot: Snapshot) -> None:
        """Take a snapshot; a time that runs backwards is another run."""
        if not snapshot.boards:
            return
        sample = moment_of(snapshot)
        if self._kept and sample.time_s < self._kept[-1].time_s:
            self._kept.clear()
            self._horn = False
        self._horn = self._horn or sample.horn
        if self._kept and sample.time_s < self._kept[-1].time_s + EACH_S:
            return
        self._kept.append(replace(sample, horn=self._horn))
        self._horn = False
        while self._kept[0].time_s < sample.time_s - SPAN_S:
            self._kept.popleft()
        self.samples = tuple(self._kept)


def moment_of(snapshot: Snapshot) -> ShownMoment:
    """What a snapshot says."""
    return ShownMoment(
        snapshot.time_s,
        snapshot.aircraft.airspeed_kias,
        tuple(leg.travel_fraction for leg in snapshot.logic.legs),
        tuple(snapshot.outputs.gauges.items()),
        snapshot.outputs.horn is not HornPattern.SILENT,
        frozenset(name for name, level in snapshot.outputs.lamps.items() if level),
        all(board.state is LinkState.LIVE for board in snapshot.boards),
    )
