"""What drawing the wiring of a panel costs: ``python -m tests.benchmarks.wiring_sheet``.

For each shipped panel: its parts, its drawn pages, and the median time of one drawing and of the
whole page to print, ms. The symbols of the first drawing are kept for the others, so it stands
alone above the table.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from statistics import median

from panelbridge.clock import LiveClock
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_folder
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.board_sheet import sheet_files
from panelbridge.wiring.sheet.pages.html_page import html_page

TIMES = 15


def _median_ms(what: Callable[[], object], times: int = TIMES) -> float:
    clock = LiveClock()
    spent = []
    for _ in range(times):
        begin = clock.now()
        what()
        spent.append(1000.0 * (clock.now() - begin))
    return median(spent)


def _draw(wired: WiredPanel) -> list[tuple[str, str]]:
    return list(sheet_files(wired))


def main() -> int:
    """Print the figures of every shipped panel."""
    panels: dict[str, WiredPanel] = {
        path.stem: wired_panel(load_panel(path).panel)
        for path in sorted((shipped_folder() / "panels").glob("*.yaml"))
    }
    demo = panels["demo_panel"]
    first_ms = _median_ms(partial(_draw, demo), 1)
    print(f"first drawing of demo_panel, with the library: {first_ms:.0f} ms")
    print(f"{'panel':<32}{'parts':>6}{'pages':>6}{'drawn, ms':>11}{'page, ms':>10}")
    for name, wired in panels.items():
        drawn_ms = _median_ms(partial(_draw, wired))
        page_ms = _median_ms(partial(html_page, wired))
        pages = len(_draw(wired))
        print(f"{name:<32}{len(wired.parts):>6}{pages:>6}{drawn_ms:>11.1f}{page_ms:>10.1f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
