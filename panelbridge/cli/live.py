"""The commands ``run`` and ``demo``: from their options to a running engine."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from panelbridge import __version__
from panelbridge.cli.publish_options import NO_VIEWERS, PublishOptions
from panelbridge.cli.switch_lines import SwitchLines
from panelbridge.cli.terminal import also_at_a_hard_end, stopped_by_signals
from panelbridge.cli.timeline_options import NO_TIMELINE, TimelineOptions
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.shipped import shipped_config
from panelbridge.config.words import counted
from panelbridge.engine.assemble import Assembly, assemble_demo, assemble_live
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.steady_heap import spare_collections
from panelbridge.errors import UsageError
from panelbridge.link.ports import IN_PROCESS_SCHEME, board_urls, is_in_process
from panelbridge.logic.inventory import switches_of
from panelbridge.printing import console_writer, say, say_at_most
from panelbridge.signals import Event, Level, SwitchState

if TYPE_CHECKING:
    from panelbridge.cli.publishing import RunPublication
    from panelbridge.cli.run_timeline import RunTimeline

Taken = TypeVar("Taken")
_SLOWEST, _FASTEST = 0.1, 10_000.0
NAME_WIDTH = 28
"""Cells of an event's name: the longest one fits, so that all texts stand in one column."""
BOARD_MISSING = 1
"""Exit code of a run for a time in which a board was never live."""
_MARKS = {Level.INFO: " ", Level.CAUTION: "!", Level.WARNING: "!!", Level.FAULT: "x"}


def run_panel(
    panel: Path,
    *,
    ports: Sequence[str],
    simulate: bool,
    feed: Path | None,
    headless: bool,
    seconds: float | None,
    frames: Path | None = None,
    switches: bool = False,
    viewers: PublishOptions = NO_VIEWERS,
    timeline: TimelineOptions = NO_TIMELINE,
) -> int:
    """Run ``panel`` until it is stopped; returns the exit code.

    Args:
        panel: the panel file.
        ports: ``URL`` or ``NAME=URL``.
        simulate: use simulated boards in this process.
        feed: feed file instead of the panel's own.
        headless: no screen.
        seconds: stop after this time; without a screen the code is then 1 when a board never came.
            None = run until stopped.
        frames: file for a board's last frames when its link fails.
        switches: print each switch that moves.
        viewers: whether others may see the run.
        timeline: what is written at its end, however it ends.

    Raises:
        PanelbridgeError: an error in a file or an option.
    """
    if switches and not headless:
        what = "the screen shows the switches by itself"
        raise UsageError(what, "--switches", "leave it away, or add --headless")
    loaded = load_panel(panel, feed)
    urls = port_urls(loaded.panel, ports, simulate=simulate)
    with ExitStack() as stack:
        frame_log = _frame_log(frames, panel, stack)
        record = _recorded(loaded, timeline, f"run of {panel}", stack)
        output = stack.enter_context(closing(HeadlessOutput())) if headless else None
        publication = None
        if viewers.is_wanted(simulated=all(map(is_in_process, urls.values()))):
            publication = stack.enter_context(_published(loaded, viewers))
        takers = _takers(output, publication, record)
        assembly = assemble_live(
            loaded,
            urls,
            on_event=takers.on_event,
            on_snapshot=takers.on_snapshot,
            on_switches=output.switches_of(loaded) if output is not None and switches else None,
            frame_log=frame_log,
            as_show=not headless,
        )
        if publication:
            publication.join(assembly)
        return _run(assembly, loaded, output, seconds=seconds)


def run_demo(
    panel: Path | None,
    *,
    headless: bool,
    speed: float,
    flight_model: bool = False,
    viewers: PublishOptions = NO_VIEWERS,
    timeline: TimelineOptions = NO_TIMELINE,
) -> int:
    """Fly the demonstration flight; returns the exit code.

    Args:
        panel: the builder's own panel file; None = the one that comes with the package.
        headless: no screen; ends with the flight.
        speed: times real time, 0.1 to 10000.
        flight_model: fly the flight model instead of the script.
        viewers: whether others may see the flight.
        timeline: what is written at its end, however it ends.

    Raises:
        PanelbridgeError: an error in a file or an option.
    """
    if not _SLOWEST <= speed <= _FASTEST:  # refuses NaN too
        raise UsageError(
            f"{speed:g} is not a valid speed",
            where="--speed",
            hint=f"give a number from {_SLOWEST:g} to {_FASTEST:g}; 1 is real time",
        )
    loaded = load_panel(panel if panel is not None else shipped_config("panels/demo_panel.yaml"))
    with ExitStack() as stack:
        record = _recorded(loaded, timeline, "demonstration flight", stack)
        output = stack.enter_context(closing(HeadlessOutput())) if headless else None
        publication = None
        if viewers.is_wanted(simulated=True):
            publication = stack.enter_context(_published(loaded, viewers, flies_again=not headless))
        takers = _takers(output, publication, record)
        assembly = assemble_demo(
            loaded,
            flight_model=flight_model,
            speed=speed,
            stop_when_finished=headless,
            on_event=takers.on_event,
            on_snapshot=takers.on_snapshot,
        )
        if publication:
            publication.join(assembly)
        return _run(assembly, loaded, output, seconds=None)


def port_urls(panel: PanelFile, ports: Sequence[str], *, simulate: bool) -> dict[str, str]:
    """The port of each board; with ``simulate`` every board is simulated.

    Raises:
        UsageError: ``ports`` do not fit the panel's boards, or exclude ``simulate``.
    """
    if simulate and ports:
        raise UsageError(
            "--simulate and --port exclude each other",
            hint="simulated boards need no port; leave one of the two away",
        )
    simulated = [f"{name}={IN_PROCESS_SCHEME}{name}" for name in panel.boards]
    return board_urls(panel, simulated if simulate else ports)


def _published(
    loaded: LoadedPanel, viewers: PublishOptions, *, flies_again: bool = False
) -> AbstractContextManager[RunPublication]:
    """Publish the run while it goes on; what that needs is imported only now."""
    from panelbridge.cli.publishing import published

    return published(loaded, viewers, flies_again=flies_again)


def _frame_log(path: Path | None, panel: Path, stack: ExitStack) -> FrameLog | None:
    """What takes the last frames of failed links, and names its file at the end of ``stack``."""
    if path is None:
        return None
    frame_log = FrameLog(path, [f"panelbridge {__version__}, panel {panel}, for simulation only"])

    def end() -> None:
        lost = frame_log.close()
        failures = (
            counted(frame_log.failures, "failed link") if frame_log.failures else "no link failed"
        )
        say(f"wrote {path}: {failures}" + (f", {lost} could not be written" if lost else ""))

    stack.callback(end)
    stack.enter_context(also_at_a_hard_end(end))
    return frame_log


def _recorded(
    loaded: LoadedPanel, options: TimelineOptions, about: str, stack: ExitStack
) -> RunTimeline | None:
    """What records the run and writes its timelines at the end of ``stack``; None if not asked."""
    if not options.are_given:
        return None
    from panelbridge.cli.run_timeline import RunTimeline

    record = RunTimeline(loaded, options, about)
    stack.callback(record.write)
    stack.enter_context(also_at_a_hard_end(record.write))
    return record


class _Takers(NamedTuple):
    """What takes the events and the snapshots of a run, in the engine's thread."""

    on_event: Callable[[Event], None] | None
    on_snapshot: Callable[[Snapshot], None] | None


def _takers(
    output: HeadlessOutput | None,
    publication: RunPublication | None,
    record: RunTimeline | None,
) -> _Takers:
    return _Takers(
        _all_of(
            output.put_event if output is not None else None,
            record.put_event if record is not None else None,
        ),
        _all_of(
            publication.on_snapshot if publication is not None else None,
            record.put_snapshot if record is not None else None,
        ),
    )


def _all_of(*takers: Callable[[Taken], None] | None) -> Callable[[Taken], None] | None:
    """Gives what comes to each of them; None when there is none."""
    there = [one for one in takers if one is not None]
    if len(there) < 2:
        return there[0] if there else None

    def give(taken: Taken) -> None:
        for one in there:
            one(taken)

    return give


class HeadlessOutput:
    """The lines of a run without a screen; the engine's thread never waits for them."""

    def __init__(self) -> None:
        self._lines = console_writer()
        self.came: set[str] = set()
        """The boards that were live at any time."""

    def put(self, line: str) -> None:
        """A line of the heading."""
        self._lines.put(line)

    def put_event(self, event: Event) -> None:
        """The line of an event."""
        if event.name == "board_connected":
            self.came.add(event.subject)
        self._lines.put(event_line(event))

    def switches_of(self, loaded: LoadedPanel) -> Callable[[float, SwitchState], None]:
        """What prints the switches of a panel that move."""
        lines = SwitchLines(switches_of(loaded.aircraft))

        def put(now_s: float, switches: SwitchState) -> None:
            for line in lines.moved(now_s, switches):
                self._lines.put(line)

        return put

    def close(self) -> None:
        """Write what waits; says how much was lost."""
        lost = self._lines.close()
        if lost:
            say_at_most(f"panelbridge: {counted(lost, 'line')} of output lost")


def feed_lines(snapshot: Snapshot) -> Iterator[str]:
    """At the end of a run: what came by the feed, what went out, and what was refused."""
    feed = snapshot.feed
    if feed.way:
        yield f"feed {snapshot.feed_name}: {counted(feed.messages, 'message')}"
        yield from (f"  refused {count:>6}  {reason}" for reason, count in feed.refused.items())
    for target in feed.targets:
        yield f"commands to {target.name}: {counted(target.sent, 'message')}"
        yield from (f"  refused {count:>6}  {why}" for why, count in target.refused.items())


def event_line(event: Event) -> str:
    """``   47.02 s  !!  the horn sounds: ...``: time, mark of the level, name, sentence."""
    head = f"{event.time_s:9.2f} s  {_MARKS[event.level]:<2}  {event.name:<{NAME_WIDTH}} "
    return head + event.text.replace("\n", "\n" + " " * len(head))


def _run(
    assembly: Assembly, loaded: LoadedPanel, output: HeadlessOutput | None, *, seconds: float | None
) -> int:
    engine = assembly.engine
    if seconds is not None:
        engine.post(lambda now_s: engine.stop_at(now_s + seconds))
    try:
        engine.open()
        if output is not None:
            spare_collections()
            for line in assembly.heading(__version__, str(loaded.panel_path)):
                output.put(line)
            with stopped_by_signals(engine.stop):
                engine.run()
            for line in feed_lines(engine.snapshot()):
                output.put(line)
            missing = [one.name for one in assembly.sessions if one.name not in output.came]
            if seconds is None or not missing:
                return 0
            output.put(f"never live in {seconds:g} s: {', '.join(missing)}")
            return BOARD_MISSING
        from panelbridge.cli.screen import run_with_screen

        return run_with_screen(assembly, loaded)
    finally:
        assembly.close()
