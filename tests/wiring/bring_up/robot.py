"""Whole bring-ups in virtual time, done by the simulated user."""

from __future__ import annotations

import shutil
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from panelbridge.clock import VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.shipped import shipped_config
from panelbridge.link.ports import PortOpener
from panelbridge.simboard.wiring_faults import parse_faults
from panelbridge.wiring.bring_up.bring_up_run import TURN_S, BringUpOptions, BringUpRun
from panelbridge.wiring.bring_up.parts import PartRecord
from panelbridge.wiring.bring_up.prompts import PartState
from panelbridge.wiring.bring_up.simulated_panel import MiswiredPanel

CONFIGS = shipped_config("panels/demo_panel.yaml").parent.parent
LONGEST_S = 3000.0


def copy_of(panel: str, folder: Path) -> Path:
    """A shipped panel with the files that it names, to be edited."""
    for kind in ("aircraft", "feeds", "panels"):
        shutil.copytree(CONFIGS / kind, folder / kind, dirs_exist_ok=True)
    return folder / "panels" / panel


def wired_like(panel: PanelFile, loaded: LoadedPanel) -> LoadedPanel:
    """What is loaded, with another panel."""
    return LoadedPanel(panel, loaded.aircraft, None, loaded.panel_path, loaded.aircraft_path)


@contextmanager
def bring_up(
    path: Path,
    *,
    wired_as: LoadedPanel | None = None,
    faults: Sequence[str] = (),
    only: Collection[str] = (),
    progress: Path | None = None,
    from_start: bool = False,
    ports_in_file: bool = True,
    seed: int = 0,
) -> Iterator[tuple[BringUpRun, VirtualClock]]:
    """A bring-up with a simulated panel."""
    clock = VirtualClock()
    loaded = load_panel(path)
    truth = wired_as if wired_as is not None else loaded
    simulated = MiswiredPanel(truth, parse_faults(faults, truth.panel), clock, seed)
    options = BringUpOptions(only, progress, from_start, ports_in_file)
    with ExitStack() as stack:
        stack.callback(simulated.close)
        run = BringUpRun(
            loaded,
            simulated.urls(loaded.panel),
            clock=clock,
            opener=PortOpener(),
            options=options,
            simulated=simulated,
        )
        stack.callback(run.close)
        yield run, clock


def turn_until(
    run: BringUpRun, clock: VirtualClock, kind: str, name: str = "", *, by_itself: bool = True
) -> None:
    """Go on until the question is of this kind, and of this part."""
    while clock.now() < LONGEST_S:
        ask = run.flow.prompt.ask
        if ask.kind == kind and name in ("", ask.name) and run.flow.is_ready:
            return
        turn(run, clock, by_itself=by_itself)
    raise AssertionError(f"never asked for {kind} {name}: {run.view()}")


def turn(
    run: BringUpRun, clock: VirtualClock, seconds: float = 0.0, *, by_itself: bool = False
) -> None:
    """One turn, or as many as fit into some seconds."""
    end_s = clock.now() + seconds
    while True:
        run.turn(by_itself=by_itself)
        clock.advance(TURN_S)
        if clock.now() > end_s:
            return


def all_of_it(path: Path, **options: object) -> Mapping[str, PartRecord]:
    """Everything that the simulated user finds, by part."""
    with bring_up(path, **options) as (run, clock):  # type: ignore[arg-type]
        turn_until(run, clock, "finished")
        return {part.key: run.flow.records[part.key] for part in run.flow.parts}


def not_right(records: Mapping[str, PartRecord]) -> dict[str, PartState]:
    """The parts that are anything but proven."""
    return {
        key: record.state for key, record in records.items() if record.state is not PartState.PROVEN
    }
