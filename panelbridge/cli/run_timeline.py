"""Timelines of a run: what the panel did, as a picture and as a waveform, like those of the bench.

A run may last for days: the record keeps its last part, so that its memory is bounded. What changes
by a word (switch, lamp, horn, command) is kept at once, what changes by a number alone five times a
second; so the picture of a flight shows its last hour or so.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping

from panelbridge.bench.command import check_timelines, write_timeline
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import check_patterns
from panelbridge.bench.reports.timeline_svg import TimelineHead
from panelbridge.bench.verdict.trace import Sample, Samples, ScenarioResult, Trace
from panelbridge.cli.run_options import TimelineOptions
from panelbridge.config.load import LoadedPanel
from panelbridge.config.words import counted
from panelbridge.engine.snapshot import Snapshot
from panelbridge.errors import UsageError
from panelbridge.link.session import LinkState, SetupPlan
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.printing import say
from panelbridge.signals import Event

MOST_SAMPLES = 20_000
"""Some 50 MB; at 20 a second the last 17 minutes, usually more than an hour."""
MOST_EVENTS = 2_000
NUMBERS_S = 0.2
"""Period of samples in which nothing but numbers has changed, s."""


class RunTimeline:
    """Records a run, and writes its timelines at the end.

    Args:
        loaded: the panel.
        options: the files and the signals.
        about: what was run, in words.
        most_samples: that are kept.

    Raises:
        UsageError: a file cannot be written, or no signal has such a name.
    """

    def __init__(
        self,
        loaded: LoadedPanel,
        options: TimelineOptions,
        about: str,
        *,
        most_samples: int = MOST_SAMPLES,
    ) -> None:
        check_timelines(options.files)
        if options.signals and not options.files:
            hint = "Give --timeline or --vcd too"
            raise UsageError("signals are chosen for a timeline", "--signals", hint)
        self._options = options
        self._about = about
        self._panel = loaded.panel
        self._plan = ScenarioPlan(
            name=loaded.panel.name,
            case="",
            source="",
            path=loaded.panel_path,
            aircraft=loaded.aircraft,
            panel=loaded.panel,
            start=Snapshot().aircraft,
            start_switches={},
            steps=(),
        )
        if options.signals:
            check_patterns(options.signals, [self._plan])
        plans = [SetupPlan.of(loaded.panel, name) for name in loaded.panel.boards]
        self._idle: Mapping[str, int] = {
            name: value
            for plan in plans
            for name, value in zip(plan.outputs, plan.idle_values, strict=True)
        }
        self._samples: deque[Sample] = deque(maxlen=most_samples)
        self._events: deque[Event] = deque(maxlen=MOST_EVENTS)
        self._kept: tuple[object, ...] = ()
        self._last: Snapshot | None = None
        self._is_written = False

    @property
    def is_wanted(self) -> bool:
        """Whether any file was asked for."""
        return bool(self._options.files)

    def put_snapshot(self, snapshot: Snapshot) -> None:
        """Take what has changed; called in the engine's thread."""
        states = tuple(board.state for board in snapshot.boards)
        shown = (snapshot.switches, snapshot.outputs, snapshot.commands, states)
        last = self._samples[-1] if self._samples else None
        self._last = snapshot
        is_near = last is not None and snapshot.time_s - last.time_s < NUMBERS_S
        if is_near and shown == self._kept:
            return
        self._kept = shown
        self._samples.append(self._sample(snapshot))

    def put_event(self, event: Event) -> None:
        """Take an event; called in the engine's thread."""
        self._events.append(event)

    def write(self) -> None:
        """Write the files and name them; what cannot be written is said, and the rest written."""
        if self._is_written or not self.is_wanted or self._last is None:
            return
        self._is_written = True
        samples = [*self._samples]
        if self._last.time_s > samples[-1].time_s:
            samples.append(self._sample(self._last))
        begin_s, end_s = samples[0].time_s, samples[-1].time_s
        is_cut = len(self._samples) == self._samples.maxlen
        begun_s = begin_s if is_cut else 0.0
        events = [event for event in self._events if event.time_s >= begun_s]
        trace = Trace(samples=Samples(samples), events=events, end_s=end_s, begun_s=begun_s)
        length = f"{end_s - begun_s:.0f} s" if is_cut else f"{end_s:.0f} s"
        about = f"{self._about}, {'its last ' if is_cut else ''}{length}"
        head = TimelineHead(verdict="", about=about)
        result = ScenarioResult(self._plan, (), trace)
        for path in self._options.files:
            try:
                write_timeline(result, path, self._options.signals, head=head)
            except UsageError as error:
                say(f"panelbridge: {error}")
                continue
            cut = f"the last {length} of the run" if is_cut else length
            say(f"wrote {path}: {cut}, {counted(len(events), 'event')}")

    def _sample(self, snapshot: Snapshot) -> Sample:
        """The panel as it shines: what hangs at a board that is not live is at idle."""
        live = {one.name for one in snapshot.boards if one.state is LinkState.LIVE}
        outputs = snapshot.outputs
        lamps = {
            name: outputs.lamps.get(name, 0) if lamp.board in live else self._idle.get(name, 0)
            for name, lamp in self._panel.lamps.items()
        }
        shown = ShownFacts(outputs, snapshot.commands, snapshot.logic.faults, lamps)
        return Sample(snapshot.time_s, snapshot.world.having({ShownFacts: shown}))
