"""Processor time of the screen's own work at 10 Hz, as a share of a core.

``python -m tests.benchmarks.screen_cost [--seconds 30]``

The built-in flight in virtual time, its screen drawn without a terminal; counted is what the screen
does (reading the snapshot, drawing, painting), not the engine. Wanted: at most 5 % together with
the engine's 2 %. The part of the flight has a descent, the horn, and the gear on its way.
"""

from __future__ import annotations

import argparse
import asyncio
from time import process_time

from panelbridge.cli.screen import content_of, fitted_switches
from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.engine.snapshot import Snapshot
from tests.dashboard.real_runs import DEMO, NEVER_HZ, StillControls, flight, loaded_panel

BEGIN_S = 100.0
SIZES = ((80, 24), (120, 40), (200, 60))


class Turned:
    """The newest snapshot of a run."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.now = snapshot

    def snapshot(self) -> Snapshot:
        """The newest."""
        return self.now


async def measure(size: tuple[int, int], page: Section, seconds: float) -> float:
    """Share of a core at this size of the screen."""
    loaded = loaded_panel(DEMO)
    spent_s = 0.0
    with flight() as run:
        source = Turned(run.until(BEGIN_S))
        app = DashboardApp(
            source,
            StillControls(source.now),
            content_of(loaded),
            switches=fitted_switches(loaded),
            page=page,
            refresh_hz=NEVER_HZ,
        )
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            for tick in range(round(seconds * 10)):
                source.now = run.until(BEGIN_S + tick / 10)
                begun_s = process_time()
                app.poll()
                await pilot.pause()
                spent_s += process_time() - begun_s
    return spent_s / seconds


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=30.0)
    seconds = parser.parse_args().seconds
    for page in (Section.PANEL, Section.OVERVIEW):
        for size in SIZES:
            share = asyncio.run(measure(size, page, seconds))
            print(f"{page:<10}{size[0]}x{size[1]:<6}{share:8.2%} of a core")


if __name__ == "__main__":
    main()
