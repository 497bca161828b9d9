"""The commands ``run`` and ``demo``: from their options to a running engine."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from panelbridge import __version__
from panelbridge.cli.headless import HeadlessOutput, feed_lines
from panelbridge.cli.run_options import (
    NO_TIMELINE,
    NO_VIEWERS,
    PublishOptions,
    TimelineOptions,
    port_urls,
)
from panelbridge.cli.terminal import also_at_a_hard_end, stopped_by_signals
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.config.words import counted
from panelbridge.engine.assemble import Assembly, assemble_demo, assemble_live
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.steady_heap import spare_collections
from panelbridge.errors import UsageError
from panelbridge.link.ports import is_in_process
from panelbridge.printing import say
from panelbridge.signals import Event

if TYPE_CHECKING:
    from panelbridge.cli.publishing import RunPublication
    from panelbridge.cli.run_timeline import RunTimeline

Taken = TypeVar("Taken")
_SLOWEST, _FASTEST = 0.1, 10_000.0
BOARD_MISSING = 1
"""Exit code of a run for a time in which a board was never live."""


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
        simulated = all(map(is_in_process, urls.values()))
        takers = _takers(loaded, viewers, record, stack, headless=headless, simulated=simulated)
        output = takers.output
        assembly = assemble_live(
            loaded,
            urls,
            on_event=takers.on_event,
            on_snapshot=takers.on_snapshot,
            on_switches=output.switches_of(loaded) if output is not None and switches else None,
            frame_log=frame_log,
            as_show=not headless,
        )
        return _run(assembly, loaded, takers, seconds=seconds)


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
        takers = _takers(
            loaded, viewers, record, stack, headless=headless, flies_again=not headless
        )
        assembly = assemble_demo(
            loaded,
            flight_model=flight_model,
            speed=speed,
            stop_when_finished=headless,
            on_event=takers.on_event,
            on_snapshot=takers.on_snapshot,
        )
        return _run(assembly, loaded, takers, seconds=None)


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

    output: HeadlessOutput | None
    publication: RunPublication | None
    on_event: Callable[[Event], None] | None
    on_snapshot: Callable[[Snapshot], None] | None


def _takers(
    loaded: LoadedPanel,
    viewers: PublishOptions,
    record: RunTimeline | None,
    stack: ExitStack,
    *,
    headless: bool,
    simulated: bool = True,
    flies_again: bool = False,
) -> _Takers:
    output = stack.enter_context(closing(HeadlessOutput())) if headless else None
    publication = None
    if viewers.is_wanted(simulated=simulated):
        from panelbridge.cli.publishing import published

        publication = stack.enter_context(published(loaded, viewers, flies_again=flies_again))
    of_record = (None, None) if record is None else (record.put_event, record.put_snapshot)
    return _Takers(
        output,
        publication,
        _all_of(None if output is None else output.put_event, of_record[0]),
        _all_of(None if publication is None else publication.on_snapshot, of_record[1]),
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


def _run(assembly: Assembly, loaded: LoadedPanel, takers: _Takers, *, seconds: float | None) -> int:
    engine, output = assembly.engine, takers.output
    if takers.publication is not None:
        takers.publication.join(assembly)
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
