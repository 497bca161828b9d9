"""``panelbridge bench --port``: scenarios in real time on real or simulated boards.

The bench plays the aircraft; the switches of a simulated board are moved, for those of a real one a
person is asked; lamps and horn are checked as the boards accept them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec.structs import replace

from panelbridge.bench.boards.board_hands import Ask
from panelbridge.bench.boards.board_world import BoardWorld
from panelbridge.bench.boards.faults import refusal
from panelbridge.bench.boards.panel_on_boards import PanelOnBoards
from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.language.load_scenario import Load
from panelbridge.bench.language.plan import MoveSwitch, ScenarioPlan, SetFault
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.condition_signals import conditions_of, signals_in
from panelbridge.bench.verdict.trace import Run, ScenarioResult
from panelbridge.clock import Clock, LiveClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.words import quoted
from panelbridge.engine.waiter import LiveWaiter, Waiter
from panelbridge.errors import ConfigError, ConfigProblem, UsageError
from panelbridge.link.ports import board_urls, is_in_process
from panelbridge.logic.aircraft_values import values_of
from panelbridge.printing import say


def board_bench(
    ports: Sequence[str],
    panel: Path | None,
    load: Load,
    *,
    make_clock: Callable[[], Clock] = LiveClock,
    make_waiter: Callable[[Clock], Waiter] = LiveWaiter,
    ask: Ask = say,
) -> tuple[Load, Run]:
    """How scenarios are loaded and run on boards.

    Args:
        ports: as on the command line, ``URL`` or ``NAME=URL``.
        panel: for scenarios that name an aircraft alone.
        load: loads a file.
        make_clock: makes the time of a run.
        make_waiter: makes how its engine waits.
        ask: asks a person to move a switch.

    Returns:
        A loader that refuses what cannot be done on these boards, and a runner.
    """
    ready = load_panel(panel) if panel is not None else None
    were_there = False

    def load_for_board(path: Path) -> Sequence[ScenarioPlan]:
        plans = [_with_panel(plan, ready) for plan in load(path)]
        problems = [one for plan in plans for one in problems_on_board(plan, ports)]
        if problems:
            raise ConfigError([*dict.fromkeys(problems)])
        return plans

    def run_on_board(plan: ScenarioPlan) -> ScenarioResult:
        nonlocal were_there
        assert plan.panel is not None
        clock = make_clock()
        urls = board_urls(plan.panel, ports)
        result = run_scenario_on_board(
            plan, urls, clock, make_waiter(clock), ask, were_there=were_there
        )
        were_there = True
        return result

    return load_for_board, run_on_board


def run_scenario_on_board(
    plan: ScenarioPlan,
    urls: Mapping[str, str],
    clock: Clock,
    waiter: Waiter,
    ask: Ask,
    *,
    were_there: bool = False,
) -> ScenarioResult:
    """Run a scenario on boards.

    Args:
        plan: the scenario, with a panel.
        urls: port of each board.
        clock: the run's time.
        waiter: how the engine waits.
        ask: asks a person to move a switch.
        were_there: as for ``BoardWorld``.

    Raises:
        UsageError: a board does not come alive.
    """
    panel = PanelOnBoards(plan, urls, clock, waiter)
    try:
        return BoardWorld(plan, panel, ask, were_there=were_there).run()
    finally:
        panel.close()


def problems_on_board(plan: ScenarioPlan, ports: Sequence[str]) -> Iterator[ConfigProblem]:
    """What of a scenario cannot be done on boards at these ports.

    Raises:
        UsageError: a port that is for no board, or a board without a port.
    """
    start = plan.first_spot
    if plan.panel is None:
        hint = "Name one with 'panel:' instead of 'aircraft:', or give --panel"
        yield _problem(start, "this scenario names no panel, and a board needs one", hint)
        return
    if plan.legs:
        hint = "With --port legs start where the handle stands. Run it without --port"
        yield _problem(start, "'legs' is for the bench alone", hint)
    urls = board_urls(plan.panel, ports)
    simulated = {name for name, url in urls.items() if is_in_process(url)}
    signals, values = signals_of(plan.aircraft, plan.panel), values_of(plan.aircraft)
    for step in plan.steps:
        for action in step.actions:
            if isinstance(action, SetFault):
                refused = refusal(action, plan.panel, simulated, values)
                if refused is not None:
                    yield _problem(step.spot, *refused)
            elif isinstance(action, MoveSwitch) and action.switch not in signals:
                yield _problem(step.spot, f"the panel has no switch {quoted(action.switch)}")
        for condition, spot in conditions_of(step):
            for name in sorted(signals_in(condition) - signals.keys()):
                yield _problem(spot, f"the panel has no {quoted(name)}", "It cannot be checked")


def _problem(spot: Spot, what: str, hint: str = "") -> ConfigProblem:
    return ConfigProblem(spot.file, spot.line, spot.column, what, hint)


def _with_panel(plan: ScenarioPlan, loaded: LoadedPanel | None) -> ScenarioPlan:
    if plan.panel is not None or loaded is None:
        return plan
    if loaded.aircraft != plan.aircraft:
        raise UsageError(
            f"the panel is for another aircraft than the scenario {quoted(plan.title)}",
            "--panel",
            f"The scenario is for {quoted(plan.aircraft.name)}",
        )
    return replace(plan, panel=loaded.panel)
