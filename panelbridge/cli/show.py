"""A run as a show: the orders of the screen, on their way to the engine's thread."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelbridge.bench.live.breakable_parts import breakable_parts
from panelbridge.bench.live.live_faults import LiveFaults
from panelbridge.config.load import LoadedPanel
from panelbridge.dashboard.show.show_controls import Breakable
from panelbridge.engine.assemble import Assembly
from panelbridge.engine.pace import Pace

REAL_DATA = (
    "Time runs as the simulator's does, whose data does not stop: "
    "no pause, no other rate, no phases."
)


class RunShow:
    """Orders to a run whose boards are all simulated; from the screen's thread.

    Args:
        assembly: the run; another run may take its place in it.
        loaded: its panel.
    """

    def __init__(self, assembly: Assembly, loaded: LoadedPanel) -> None:
        self._assembly = assembly
        self._parts = breakable_parts(loaded)
        self.breakables: Sequence[Breakable] = [
            Breakable(part.words, part.room) for part in self._parts.values()
        ]
        pace = self._pace
        self.phases: Sequence[str] = () if pace is None else tuple(pace.phases)
        self.fixed_time = REAL_DATA if pace is None else ""

    def prepare(self, assembly: Assembly) -> None:
        """Let the parts of a run be broken, before it begins."""
        show, sim_panel = assembly.show, assembly.sim_panel
        if show is not None and sim_panel is not None:
            show.parts = LiveFaults(self._parts, assembly.engine, sim_panel, show.feed)

    @property
    def _pace(self) -> Pace | None:
        return None if self._assembly.show is None else self._assembly.show.pace

    def _ask_pace(self, order: Callable[[Pace, float], None]) -> None:
        pace = self._pace
        if pace is not None:
            self._assembly.engine.post(lambda now_s: order(pace, now_s))

    def pause_or_go(self) -> None:
        """Stop the time, or let it go on."""
        self._ask_pace(Pace.pause_or_go)

    def step(self, span_s: float) -> None:
        """Let so much time pass, s, and pause."""
        self._ask_pace(lambda pace, now_s: pace.step(now_s, span_s))

    def faster(self) -> None:
        """The next higher rate."""
        self._ask_pace(Pace.faster)

    def slower(self) -> None:
        """The next lower rate."""
        self._ask_pace(Pace.slower)

    def jump(self, index: int) -> None:
        """Fly to the start of a phase."""
        self._ask_pace(lambda pace, now_s: pace.jump(now_s, index))

    def break_or_mend(self, words: str) -> None:
        """Break a part, or mend it when it is broken."""
        self._ask_faults(lambda faults, now_s: faults.break_or_mend(now_s, words))

    def mend_all(self) -> None:
        """Mend everything."""
        self._ask_faults(LiveFaults.mend_all)

    def _ask_faults(self, order: Callable[[LiveFaults, float], None]) -> None:
        show = self._assembly.show
        faults = None if show is None else show.parts
        if isinstance(faults, LiveFaults):
            self._assembly.engine.post(lambda now_s: order(faults, now_s))
