"""The command ``bring-up``: from its options to a run with its screen, or without one."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from panelbridge.cli.run_options import port_urls
from panelbridge.cli.terminal import TerminalWatch, check_terminal, stopped_by_signals
from panelbridge.clock import Clock, LiveClock, VirtualClock, wall_clock_text
from panelbridge.config.load import load_panel
from panelbridge.config.words import counted
from panelbridge.errors import UsageError
from panelbridge.link.ports import PortOpener, is_in_process
from panelbridge.printing import say
from panelbridge.simboard.wiring_faults import parse_faults
from panelbridge.wiring.bring_up.bring_up_run import TURN_S, BringUpOptions, BringUpRun
from panelbridge.wiring.bring_up.progress_file import progress_path
from panelbridge.wiring.bring_up.prompts import PartState
from panelbridge.wiring.bring_up.report import MARKS, default_paths, report_text, write_report
from panelbridge.wiring.bring_up.simulated_panel import MiswiredPanel

_LONGEST_S = 24 * 3600.0


class BringUpArguments(Struct, frozen=True):
    """The options of the command, as given."""

    ports: Sequence[str]
    only: Sequence[str]
    progress: Path | None
    from_start: bool
    report: Path | None
    simulate: bool
    wired_as: Path | None
    faults: Sequence[str]
    headless: bool
    seed: int


def bring_up_command(panel: Path, arguments: BringUpArguments) -> int:
    """Run a bring-up; returns the exit code: 1 when something was left open.

    Raises:
        PanelbridgeError: an error in a file or an option.
    """
    _check(arguments)
    loaded = load_panel(panel)
    clock: Clock = VirtualClock() if arguments.headless else LiveClock()
    if not arguments.headless:
        check_terminal(hint="Start it in a terminal window: it asks you to move and to look")
    simulated: MiswiredPanel | None = None
    if arguments.simulate:
        wired_as = loaded if arguments.wired_as is None else load_panel(arguments.wired_as)
        faults = parse_faults(arguments.faults, wired_as.panel)
        simulated = MiswiredPanel(wired_as, faults, clock, arguments.seed)
        urls = simulated.urls(loaded.panel)
    else:
        urls = port_urls(loaded.panel, arguments.ports, simulate=False)
        if any(is_in_process(url) for url in urls.values()):
            raise UsageError("a simulated board needs --simulate here", "--port")
    ports = {name: board.port for name, board in loaded.panel.boards.items()}
    options = BringUpOptions(
        only=arguments.only,
        progress=_progress(panel, arguments),
        from_start=arguments.from_start,
        ports_in_file=all(ports.values()) and not arguments.ports,
    )
    try:
        run = BringUpRun(
            loaded, urls, clock=clock, opener=PortOpener(), options=options, simulated=simulated
        )
    except BaseException:
        if simulated is not None:
            simulated.close()
        raise
    try:
        ended = _without_screen(run, clock) if arguments.headless else _with_screen(run)
    finally:
        run.close()
    return _end(run, panel, arguments, ended=ended, simulated=simulated is not None)


def _check(arguments: BringUpArguments) -> None:
    if arguments.simulate and arguments.ports:
        hint = "simulated boards need no port; leave one of the two away"
        raise UsageError("--simulate and --port exclude each other", hint=hint)
    given = {
        "--wired-as": arguments.wired_as is not None,
        "--fault": bool(arguments.faults),
        "--headless": arguments.headless,
    }
    for option, is_given in given.items():
        if is_given and not arguments.simulate:
            hint = "a real panel needs your hands and eyes" if option == "--headless" else ""
            raise UsageError(f"{option} needs --simulate", hint=hint)
    if arguments.report is not None and arguments.report.exists():
        what = "this file is there already, and a report overwrites nothing"
        raise UsageError(what, str(arguments.report), "Name another file with --report")


def _progress(panel: Path, arguments: BringUpArguments) -> Path | None:
    """Where the progress is kept; what a simulated user does at once is not kept."""
    if arguments.progress is not None or not arguments.headless:
        return arguments.progress or progress_path(panel)
    return None


def _without_screen(run: BringUpRun, clock: Clock) -> bool:
    """The simulated user does all of it, in virtual time."""
    said: dict[str, PartState] = {}
    while not run.flow.finished and clock.now() < _LONGEST_S:
        run.turn(by_itself=True)
        clock.sleep_until(clock.now() + TURN_S)
        for part in [] if run.flow.corrections.pending else run.flow.parts:
            record = run.flow.records[part.key]
            if record.state is not said.get(part.key, PartState.OPEN):
                said[part.key] = record.state
                sign, words = MARKS[record.state]
                say(f"{sign} {part.label}: {words}")
                for line in (*record.findings, *record.corrected):
                    say(f"    {line}")
    return True


def _with_screen(run: BringUpRun) -> bool:
    """Until the screen is closed; returns whether the bring-up was ended."""
    from panelbridge.dashboard.bring_up.bring_up_app import BringUpApp

    app = BringUpApp(run, turn_s=TURN_S)
    watch = TerminalWatch(lambda: None, app.exit, threading.main_thread())
    with stopped_by_signals(watch.ask):
        watch.start()
        try:
            return bool(app.run())
        except OSError:
            if not watch.has_hung_up:  # else it could not take its leave
                raise
            return False
        finally:
            watch.close()


def _end(
    run: BringUpRun,
    panel: Path,
    arguments: BringUpArguments,
    *,
    ended: bool,
    simulated: bool,
) -> int:
    records = run.flow.records
    states = [records[part.key].state for part in run.flow.parts]
    good = sum(state in (PartState.PROVEN, PartState.CORRECTED) for state in states)
    say(f"{good} of {counted(len(states), 'part')} do what the panel file says")
    _say_exchanged(run)
    if not ended:
        kept = _progress(panel, arguments)
        say(f"paused; the same command goes on where it ended ({kept})")
        return 1
    text = report_text(run.loaded, records, _ports(run), simulated=simulated, notes=run.flow.notes)
    wanted = arguments.report
    date = wall_clock_text().partition(" ")[0]
    paths = default_paths(panel, date) if wanted is None else iter([wanted])
    say(f"wrote {write_report(text, paths)}")
    return 0 if good == len(states) else 1


def _ports(run: BringUpRun) -> Mapping[str, str]:
    return {name: "simulated" if is_in_process(url) else url for name, url in run.urls.items()}


def _say_exchanged(run: BringUpRun) -> None:
    """How to give the ports of boards that were exchanged, when no file says it."""
    if any(is_in_process(url) for url in run.exchanged_ports.values()):
        say("two boards are exchanged: name their ports in the panel file, or with --port")
    elif run.exchanged_ports:
        options = " ".join(f"--port {name}={url}" for name, url in run.exchanged_ports.items())
        say(f"two boards are exchanged: give their ports as {options}")
